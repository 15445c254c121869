package main

import "syscall"

// mountSmall puts a disk of few kilobytes in the place of a folder; only root may.
func mountSmall(folder string) error { return syscall.Mount("tmpfs", folder, "tmpfs", 0, "size=64k") }

// mountReadOnly makes a folder take nothing, not even from root.
func mountReadOnly(folder string) error {
	if err := syscall.Mount(folder, folder, "", syscall.MS_BIND, ""); err != nil {
		return err
	}
	return syscall.Mount("", folder, "", syscall.MS_BIND|syscall.MS_REMOUNT|syscall.MS_RDONLY, "")
}

func unmount(folder string) error { return syscall.Unmount(folder, 0) }
