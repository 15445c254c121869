//go:build !windows

package files

import "github.com/google/renameio/v2"

// A pendingFile is written beside the file whose place it takes, whole or not at all.
type pendingFile struct{ *renameio.PendingFile }

func beginFile(path string) (pendingFile, error) {
	f, err := renameio.NewPendingFile(path, renameio.WithPermissions(0o644), renameio.WithExistingPermissions())
	return pendingFile{f}, err
}

// commit puts the file in its place, once it is safe on the disk.
func (f pendingFile) commit() error { return f.CloseAtomicallyReplace() }

// abandon leaves the old file as it is; after commit it does nothing.
func (f pendingFile) abandon() { _ = f.Cleanup() } // nobody asks for what is thrown away
