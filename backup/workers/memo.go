package workers

import "sync"

// A Memo keeps what was worked out once, for jobs side by side too. The zero value knows nothing yet.
type Memo[K comparable, T any] struct {
	mu    sync.Mutex
	known map[K]T
}

// Of is what is known under a key, worked out where it is not yet.
func (m *Memo[K, T]) Of(key K, work func() T) T {
	m.mu.Lock()
	defer m.mu.Unlock()
	v, known := m.known[key]
	if !known {
		if v = work(); m.known == nil {
			m.known = map[K]T{}
		}
		m.known[key] = v
	}
	return v
}
