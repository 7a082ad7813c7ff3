// Package shelf keeps record files on disk: read, and changed so that two that write at once lose nothing, and a crash leaves the old
// record or the new.
package shelf

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"knobwright/internal/record"
	"knobwright/internal/safefile"
)

// Load reads the record beside a panel file; an empty record when there is none.
func Load(panel string) (*record.Record, error) {
	r, _, err := load(record.Beside(panel))
	return r, err
}

func load(path string) (*record.Record, []byte, error) {
	src, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return &record.Record{}, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	r, err := record.Read(filepath.Base(path), src)
	return r, src, err
}

// one lets one change through at a time within this process.
var one sync.Mutex

// tries is how often a change is made anew when somebody else was quicker.
const tries = 20

// Change changes the record beside a panel file: edit is given what the record says now, and what it leaves is written. When somebody else
// writes in between, edit is asked again with what they wrote. An error of edit is given back and nothing is written.
func Change(panel string, edit func(*record.Record) error) error {
	one.Lock()
	defer one.Unlock()
	defer lock(panel)()
	path := record.Beside(panel)
	for range tries {
		r, src, err := load(path)
		if err != nil {
			return err
		}
		if err := edit(r); err != nil {
			return err
		}
		out, err := r.Write(src)
		if err != nil {
			return err
		}
		if src == nil {
			err = create(path, out)
		} else if !bytes.Equal(src, out) {
			err = safefile.Replace(path, src, out)
		}
		if err == nil {
			return nil
		}
		if !errors.Is(err, safefile.ErrChanged) && !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
	return fmt.Errorf("%s is being written by somebody else all the time", filepath.Base(path))
}

// create writes a file that is not there yet, whole or not at all; fs.ErrExist when somebody else was quicker.
func create(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".record-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	return os.Link(f.Name(), path)
}
