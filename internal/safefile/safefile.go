// Package safefile writes files so that a crash, a kill or a full disk at any moment leaves the old content or the new,
// never less.
package safefile

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
)

// ErrChanged says that the file on disk is no longer the one that was read.
var ErrChanged = errors.New("the file was changed by somebody else in the meantime")

// Replace puts data in the place of a file whose content was old when it was read. It writes beside the file, flushes to
// disk, then renames. A link is followed, the file's permissions are kept. ErrChanged when the content is no longer old.
func Replace(path string, old, data []byte) error {
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		return err
	}
	now, err := os.ReadFile(real)
	if err != nil {
		return err
	}
	if !bytes.Equal(now, old) {
		return ErrChanged
	}
	st, err := os.Stat(real)
	if err != nil {
		return err
	}
	// a file that its owner made read-only is not replaced behind their back
	if f, err := os.OpenFile(real, os.O_WRONLY, 0); err != nil {
		return err
	} else if err := f.Close(); err != nil {
		return err
	}
	return Write(real, data, st.Mode().Perm())
}

// Write writes a file beside its place, flushes it, and renames it there.
func Write(path string, data []byte, mode os.FileMode) (err error) {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(data); err == nil {
		err = f.Sync()
	}
	if e := f.Chmod(mode); err == nil {
		err = e
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	if err = os.Rename(f.Name(), path); err != nil {
		return err
	}
	return SyncDir(dir)
}

// SyncDir makes a rename in a folder durable. Systems that cannot flush a folder are not an error.
func SyncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	_ = d.Sync()
	return d.Close()
}
