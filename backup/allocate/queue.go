package allocate

import "container/heap"

// maxOpen is how many nodes wait in order of promise; at about 4 kB each for 200 circuits that is 16 MB.
const maxOpen = 4096

// A queue holds the open nodes of a search.
type queue struct {
	best  byPromise
	last  []*frame // when best is full: taken first, the latest first
	free  []*frame // to be used again
	filed int
}

// byPromise is a heap with the most promising frame on top; of equals the latest, which lies deepest.
type byPromise []*frame

func (q byPromise) Len() int { return len(q) }

func (q byPromise) Less(i, j int) bool {
	if q[i].promise != q[j].promise {
		return q[i].promise > q[j].promise
	}
	return q[i].number > q[j].number
}

func (q byPromise) Swap(i, j int) { q[i], q[j] = q[j], q[i] }

func (q *byPromise) Push(x any) { *q = append(*q, x.(*frame)) }

func (q *byPromise) Pop() any {
	last := len(*q) - 1
	f := (*q)[last]
	*q = (*q)[:last]
	return f
}

// file puts a node aside. promise is an estimate of the best value below it.
func (s *search) file(f *frame, promise float64) {
	s.queue.filed++
	f.promise, f.number = promise, s.queue.filed
	if len(s.queue.best) < maxOpen {
		heap.Push(&s.queue.best, f)
		return
	}
	s.queue.last = append(s.queue.last, f)
}

// take returns the next node that can't be dropped, or nil.
func (s *search) take() *frame {
	for {
		var f *frame
		q := &s.queue
		switch {
		case len(q.last) > 0:
			f = q.last[len(q.last)-1]
			q.last = q.last[:len(q.last)-1]
		case len(q.best) > 0:
			f = heap.Pop(&q.best).(*frame)
		default:
			return nil
		}
		if f.bound >= s.cutoff {
			return f
		}
		s.drop(f)
	}
}

// drop gives a frame back. It returns nil for the caller to pass on.
func (s *search) drop(f *frame) *frame {
	s.queue.free = append(s.queue.free, f)
	return nil
}

// fresh returns a frame with any content.
func (s *search) fresh() *frame {
	if n := len(s.queue.free); n > 0 {
		f := s.queue.free[n-1]
		s.queue.free = s.queue.free[:n-1]
		return f
	}
	return new(frame)
}
