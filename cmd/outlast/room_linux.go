package main

import "syscall"

// roomBytes holds what one home takes, whatever is asked of it, until the collector first comes by.
const roomBytes = 64 << 20

// takeRoom has the memory that the program is going to use come in large pages, where the system gives them to who asks.
//
// Most of what a command allocates is memory that the process has never touched before, and each page of it has to be
// faulted in. By 4 KiB at a time that is a third of the time of a plan on a virtual machine. The slice is dropped at
// once: nothing of it is touched, and the collector, which so large a slice calls, gives its addresses to whatever comes
// next.
func takeRoom() {
	room := make([]byte, roomBytes)
	_ = syscall.Madvise(room, syscall.MADV_HUGEPAGE) // a system without them gives the pages that it has
}
