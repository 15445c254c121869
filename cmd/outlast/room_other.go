//go:build !linux

package main

// takeRoom does nothing: other systems do not let a program ask for large pages of memory.
func takeRoom() {}
