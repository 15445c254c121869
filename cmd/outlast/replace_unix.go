//go:build !windows

package main

import "github.com/google/renameio/v2"

// replaceFile writes a file so that it appears whole or not at all.
func replaceFile(path string, data []byte) error {
	return renameio.WriteFile(path, data, 0o644, renameio.WithExistingPermissions())
}
