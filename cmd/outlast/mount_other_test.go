//go:build unix && !linux

package main

import "errors"

func mountSmall(string) error { return errors.ErrUnsupported }

func mountReadOnly(string) error { return errors.ErrUnsupported }

func unmount(string) error { return nil }
