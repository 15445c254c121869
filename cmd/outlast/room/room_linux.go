//go:build !race

package room

import (
	"os"
	"runtime"
	"slices"
	"syscall"
)

// roomBytes hold what one home takes, whatever is asked of it.
const roomBytes = 64 << 20

func init() {
	if slices.Contains(os.Args, "serve") {
		return // a page is served from the same memory again and again
	}
	// Nothing of it is touched. The collector gives its addresses to whatever comes next, and there is hardly anything
	// yet that it has to look at.
	ahead := make([]byte, roomBytes)
	_ = syscall.Madvise(ahead, syscall.MADV_HUGEPAGE) // a system without them gives the pages that it has
	runtime.GC()
}
