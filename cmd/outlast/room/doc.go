// Package room has the memory that a command is going to use come in large pages, where the system gives them to who
// asks.
//
// Most of what a command allocates is memory that no process has touched before, and each page of it is faulted in. By
// 4 KiB at a time that took a third of a plan on a virtual machine, and half of the start of the program, in which
// libraries fill their tables. So it is asked for as soon as the package is imported, and that is early: the language
// initialises what is ready in the order of the paths, and this package needs next to nothing.
package room
