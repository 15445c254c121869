package live

import (
	"hash/fnv"
	"sync"
)

// A key tells what was asked apart from everything else.
type key [16]byte

func keyOf(parts ...[]byte) (k key) {
	h := fnv.New128a()
	for _, p := range parts {
		h.Write(p)
	}
	h.Sum(k[:0])
	return k
}

// remembered is how many answers of a kind are kept: those of the last touches, of a few pages. A large home takes a few
// megabytes for each, which are gone through whenever the memory is tidied up.
const remembered = 8

// A memo keeps the last few of what took long. The zero value is empty.
type memo[T any] struct {
	mu    sync.Mutex
	known map[key]T
	order []key // the oldest first
}

func (m *memo[T]) get(k key) (v T, ok bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	v, ok = m.known[k]
	return v, ok
}

func (m *memo[T]) put(k key, v T) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.known == nil {
		m.known = map[key]T{}
	}
	if _, ok := m.known[k]; !ok {
		if len(m.order) == remembered {
			delete(m.known, m.order[0])
			m.order = m.order[1:]
		}
		m.order = append(m.order, k)
	}
	m.known[k] = v
}
