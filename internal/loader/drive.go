package loader

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"knobwright/internal/image"
)

// infoFile is the file by which the drive of a UF2 boot loader is known. Source: UF2 specification, files exposed by boot loaders.
const infoFile = "INFO_UF2.TXT"

// boards says which chips' boot loaders show which Board-ID.
var boards = map[string]image.Family{"RPI-RP2": image.RP2040}

// Drive is a drive of a UF2 boot loader.
type Drive struct {
	Dir, Board, Model string
	Family            image.Family // 0 when the board is not known
}

// ReadDrive looks at a folder and says whether it is the drive of a boot loader.
func ReadDrive(dir string) (Drive, error) {
	st, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Drive{}, &Wrong{"There is no folder " + dir + ".", "The drive appears while the module is in its boot loader: hold its BOOT button down while you plug it in."}
	case err != nil:
		return Drive{}, &Wrong{fmt.Sprintf("%s cannot be looked at: %v.", dir, err), ""}
	case !st.IsDir():
		return Drive{}, &Wrong{dir + " is not a folder.", "Name the folder where the module's drive is mounted, or a serial port."}
	}
	f, err := os.Open(filepath.Join(dir, infoFile))
	if err != nil {
		return Drive{}, &Wrong{dir + " is not the drive of a boot loader: it has no " + infoFile + ".", "The drive appears while the module is in its boot loader: hold its BOOT button down while you plug it in."}
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, 4096))
	if err != nil {
		return Drive{}, &Wrong{fmt.Sprintf("%s on the drive cannot be read: %v.", infoFile, err), "Unplug the module and begin again."}
	}
	d := Drive{Dir: dir}
	for _, l := range strings.Split(string(text), "\n") {
		key, value, ok := strings.Cut(strings.TrimSpace(l), ":")
		switch value = strings.TrimSpace(value); {
		case ok && key == "Board-ID":
			d.Board = value
		case ok && key == "Model":
			d.Model = value
		}
	}
	if d.Board == "" {
		return d, &Wrong{infoFile + " on the drive names no board.", "It is not the boot loader of a module that is known here."}
	}
	d.Family = boards[d.Board]
	return d, nil
}

// Copy is how a file is put on a drive.
type Copy struct {
	Tell Progress
	Wait time.Duration // for the drive to go away when the module restarts; 0: 8 s

	create func(name string) (io.WriteCloser, error) // in place of a real file, for tests
	free   func(dir string) (uint64, bool)
}

// Outcome is how it ended.
type Outcome struct {
	Restarted bool   // the drive went away: the module has taken the image and runs it
	Compared  bool   // the file was read back and is the same
	Name      string // of the file on the drive
}

// To copies a UF2 file to a drive after looking at both. Until everything fits, nothing is written.
func (c Copy) To(dir string, file []byte) (Outcome, error) {
	u, err := image.ReadUF2(file)
	if err != nil {
		return Outcome{}, &Wrong{fmt.Sprintf("The file is no UF2 file: %v.", err), "Make it anew: knobwright make."}
	}
	d, err := ReadDrive(dir)
	if err != nil {
		return Outcome{}, err
	}
	family := image.Family(0)
	for _, b := range u.Blocks {
		if b.Flags&image.HasFamily != 0 {
			family = b.Family
			break
		}
	}
	if d.Family != family || family == 0 {
		return Outcome{}, &Wrong{fmt.Sprintf("The image is for %s; the drive is that of a board %s.", family, d.Board), "Nothing was written. Look whether it is the right module, or make the image for this one: module: in the panel file."}
	}
	if ps := u.Check(image.FlashRP2040); len(ps) > 0 {
		return Outcome{}, &Wrong{"The file is damaged: " + ps[0].String() + ".", "Nothing was written. Make it anew: knobwright make."}
	}
	free := c.free
	if free == nil {
		free = freeBytes
	}
	if n, ok := free(dir); ok && n < uint64(len(file)) {
		return Outcome{}, &Wrong{fmt.Sprintf("The drive has %d bytes left; the file has %d.", n, len(file)), "Nothing was written. Unplug the module and plug it in again with its BOOT button held: its drive is empty then."}
	}
	return c.write(d, file)
}

// write writes and waits. Boot loaders take the blocks as they come, whatever the file is called; a file that is written aside and renamed
// would be taken twice or not at all, so it goes straight to its name.
func (c Copy) write(d Drive, file []byte) (Outcome, error) {
	out := Outcome{Name: "FIRMWARE.UF2"}
	path := filepath.Join(d.Dir, out.Name)
	create := c.create
	if create == nil {
		create = func(name string) (io.WriteCloser, error) {
			return os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
		}
	}
	again := "Nothing is lost: the boot loader is in the chip itself and cannot be overwritten. Unplug the module, hold its BOOT button down while you plug it in, and run this again."
	f, err := create(path)
	if err != nil {
		return out, &Wrong{fmt.Sprintf("Nothing can be written to %s: %v.", d.Dir, err), "Look whether the drive is mounted for writing."}
	}
	const step = 8 * image.BlockSize
	for at := 0; at < len(file); at += step {
		n, err := f.Write(file[at:min(at+step, len(file))])
		if err != nil || n < min(step, len(file)-at) {
			_ = f.Close()
			done := at + n
			if done >= len(file)-image.BlockSize && gone(d.Dir) { // it restarts with the last block; what comes after meets no drive
				break
			}
			return out, &Broken{fmt.Sprintf("The drive went away after %d of %d blocks.", done/image.BlockSize, len(file)/image.BlockSize), again, err}
		}
		c.tell("writing", at+n, len(file))
	}
	if s, ok := f.(interface{ Sync() error }); ok {
		_ = s.Sync() // a module that restarts takes the drive with it: then this fails, and all is well
	}
	_ = f.Close()
	return c.settle(d, out, path, file)
}

// settle finds out what became of the file.
func (c Copy) settle(d Drive, out Outcome, path string, file []byte) (Outcome, error) {
	wait := c.Wait
	if wait == 0 {
		wait = 8 * time.Second
	}
	for end := time.Now().Add(wait); ; {
		if gone(d.Dir) {
			out.Restarted = true
			return out, nil
		}
		if time.Now().After(end) {
			break
		}
		time.Sleep(min(100*time.Millisecond, wait/4+1))
	}
	back, err := os.ReadFile(path)
	if err != nil {
		return out, &Broken{"All was written, but the module has not restarted and the file is not on its drive.", "Unplug it and plug it in again. If the panel does not appear, hold BOOT while plugging it in and run this again.", err}
	}
	if !bytes.Equal(back, file) {
		return out, &Broken{Say: "What is on the drive is not what was written.", Do: "Hold BOOT while plugging the module in and run this again; try another cable or port."}
	}
	out.Compared = true
	return out, nil
}

func (c Copy) tell(step string, done, total int) {
	if c.Tell != nil {
		c.Tell(step, done, total)
	}
}

func gone(dir string) bool {
	_, err := os.Stat(filepath.Join(dir, infoFile))
	return err != nil
}

// Drives lists drives of boot loaders in the folders where systems mount them.
func Drives() []Drive {
	var out []Drive
	for _, pattern := range []string{"/media/*", "/media/*/*", "/run/media/*/*", "/mnt/*", "/Volumes/*"} {
		dirs, _ := filepath.Glob(pattern)
		for _, dir := range dirs {
			if d, err := ReadDrive(dir); err == nil {
				out = append(out, d)
			}
		}
	}
	return out
}
