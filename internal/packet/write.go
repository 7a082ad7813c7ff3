package packet

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"knobwright/internal/drawing"
	"knobwright/internal/safefile"
)

// Doc is one paper of the packet.
type Doc struct {
	Name  string // file name, "template.pdf"; plain characters only
	About string // what it is for, a phrase
	Data  []byte

	Pages []drawing.Page // of a PDF, to be looked at without one; none when they are not kept
}

// ErrNotPacket says that a folder holds something other than a packet, and was left alone.
var ErrNotPacket = errors.New("the folder is not a packet")

// manifestName is the file by which a packet is known.
const manifestName = "manifest.json"

// Write puts a packet into a folder. The papers are written and flushed in a new folder beside it, which then takes its
// place; a failure or a kill at any moment leaves the old packet or the new one, never a half. A folder that is not empty and
// not an earlier packet is not touched. step, when not nil, is told each name.
func Write(dir string, docs []Doc, step func(name string)) (err error) {
	dir = filepath.Clean(dir)
	if err := replaceable(dir); err != nil {
		return err
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return err
	}
	sweep(dir, time.Now().Add(-leftBehind))
	beside, err := os.MkdirTemp(parent, "."+filepath.Base(dir)+".new-")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.RemoveAll(beside)
		}
	}()
	if err := os.Chmod(beside, 0o755); err != nil {
		return err
	}
	for _, d := range docs {
		if !plainName(d.Name) {
			return fmt.Errorf("%q cannot be a file name", d.Name)
		}
		if step != nil {
			step(d.Name)
		}
		if err := safefile.Write(filepath.Join(beside, d.Name), d.Data, 0o644); err != nil {
			return err
		}
	}
	return swap(dir, beside)
}

// leftBehind is how old a half-written folder must be before it is known to be left by a kill; writing one takes seconds.
const leftBehind = 10 * time.Minute

// sweep takes away half-written folders from before a time. That it cannot is no reason not to write.
func sweep(dir string, before time.Time) {
	prefix := "." + filepath.Base(dir) + ".new-"
	entries, err := os.ReadDir(filepath.Dir(dir))
	if err != nil {
		return
	}
	for _, e := range entries {
		if !e.IsDir() || !strings.HasPrefix(e.Name(), prefix) {
			continue
		}
		if st, err := e.Info(); err == nil && st.ModTime().Before(before) {
			_ = os.RemoveAll(filepath.Join(filepath.Dir(dir), e.Name()))
		}
	}
}

// swap puts the new folder in the place of the old one: in one step where the system can, else by two renames, between which
// a kill leaves the old packet whole under a name that says so; the next Write puts it right.
func swap(dir, beside string) error {
	parent := filepath.Dir(dir)
	old := filepath.Join(parent, "."+filepath.Base(dir)+".old")
	if _, err := os.Lstat(dir); errors.Is(err, fs.ErrNotExist) {
		if err := os.Rename(beside, dir); err != nil {
			return err
		}
		_ = os.RemoveAll(old)
		return safefile.SyncDir(parent)
	}
	if err := os.RemoveAll(old); err != nil {
		return err
	}
	if exchange(dir, beside) == nil {
		if err := safefile.SyncDir(parent); err != nil {
			return err
		}
		return os.RemoveAll(beside)
	}
	if err := os.Rename(dir, old); err != nil {
		return err
	}
	if err := os.Rename(beside, dir); err != nil {
		if back := os.Rename(old, dir); back != nil {
			return errors.Join(err, back)
		}
		return err
	}
	if err := safefile.SyncDir(parent); err != nil {
		return err
	}
	return os.RemoveAll(old)
}

// replaceable reports whether a packet may stand at dir: nothing is there, an empty folder, or a packet.
func replaceable(dir string) error {
	st, err := os.Lstat(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if !st.IsDir() {
		return fmt.Errorf("%w: %s is a file", ErrNotPacket, filepath.Base(dir))
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	if len(entries) == 0 {
		return nil
	}
	listed, err := manifestFiles(filepath.Join(dir, manifestName))
	if err != nil {
		return fmt.Errorf("%w: %s holds other things and no %s", ErrNotPacket, filepath.Base(dir), manifestName)
	}
	for _, e := range entries {
		if !listed[e.Name()] {
			return fmt.Errorf("%w: %s was put beside it by somebody; move it away or choose another folder", ErrNotPacket, e.Name())
		}
	}
	return nil
}

func plainName(s string) bool {
	if s == "" || s[0] == '.' || len(s) > 80 {
		return false
	}
	return strings.IndexFunc(s, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '.' || r == '-' || r == '_')
	}) < 0
}
