//go:build linux

package packet

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"knobwright/internal/thorough"
)

// paperSet is a packet of eight papers that all say the same; with n it can be told which.
func paperSet(n, size int) []Doc {
	var ds []Doc
	for i := range 8 {
		ds = append(ds, Doc{Name: fmt.Sprintf("paper-%d.txt", i), About: "a paper", Data: bytes.Repeat([]byte(fmt.Sprintf("%d\n", n)), size)})
	}
	ds, err := withManifest(Manifest{Tool: "knobwright", Title: fmt.Sprint(n)}, ds)
	if err != nil {
		panic(err)
	}
	return ds
}

func init() { childWork = writeForever }

// writeForever is the child of the kill test: it writes packet after packet until it is killed.
func writeForever(dir string) {
	if os.Getenv("KNOBWRIGHT_NO_EXCHANGE") != "" {
		exchange = func(a, b string) error { return errors.ErrUnsupported }
	}
	for n := 0; ; n++ {
		if err := Write(dir, paperSet(n, 4000), nil); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
		if n == 0 {
			fmt.Println("first")
		}
	}
}

// A kill at any moment leaves a whole packet, old or new. Where the system cannot swap two folders in one step there is a
// moment in which the old packet stands under its other name.
func TestKilledAtAnyMoment(t *testing.T) {
	rounds := thorough.Of(60, 16)
	if testing.Short() {
		rounds = 8
	}
	if n, err := strconv.Atoi(os.Getenv("KILLS")); err == nil && n > 0 {
		rounds = n
	}
	for _, fallback := range []bool{false, true} {
		dir := filepath.Join(t.TempDir(), "desk-packet")
		rng := rand.New(rand.NewPCG(7, uint64(rounds)))
		absent, half := 0, 0
		for i := range rounds / 2 {
			cmd := exec.Command(os.Args[0])
			cmd.Env = append(os.Environ(), "KNOBWRIGHT_WRITE_FOREVER="+dir)
			if fallback {
				cmd.Env = append(cmd.Env, "KNOBWRIGHT_NO_EXCHANGE=1")
			}
			out := &firstLine{got: make(chan bool, 1)}
			var errs bytes.Buffer
			cmd.Stdout, cmd.Stderr = out, &errs
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			if i == 0 { // the very first one may be killed before there is any packet
				time.Sleep(time.Duration(rng.IntN(8)) * time.Millisecond)
			} else {
				select {
				case <-out.got:
				case <-time.After(20 * time.Second):
					t.Fatal("the child writes nothing")
				}
				time.Sleep(time.Duration(rng.IntN(12000)) * time.Microsecond)
			}
			_ = cmd.Process.Kill()
			_ = cmd.Wait()
			if errs.Len() > 0 {
				t.Fatalf("round %d: the child says: %s", i, errs.String())
			}
			err := wholePacket(dir)
			switch {
			case err == nil:
			case errors.Is(err, os.ErrNotExist) && i == 0:
				absent++
			case errors.Is(err, os.ErrNotExist) && fallback && wholePacket(filepath.Join(filepath.Dir(dir), ".desk-packet.old")) == nil:
				half++
			default:
				t.Fatalf("round %d: %v", i, err)
			}
		}
		if err := Write(dir, paperSet(-1, 10), nil); err != nil {
			t.Fatalf("after the kills: %v", err)
		}
		if err := wholePacket(dir); err != nil {
			t.Fatal(err)
		}
		sweep(dir, time.Now().Add(time.Hour))
		left, _ := os.ReadDir(filepath.Dir(dir))
		if len(left) != 1 {
			t.Errorf("left beside the packet after sweeping: %v", left)
		}
		t.Logf("one-step swap taken away: %v; %d kills, %d before the first packet, %d between two renames", fallback, rounds/2, absent, half)
	}
}

type firstLine struct{ got chan bool }

func (f *firstLine) Write(b []byte) (int, error) {
	select {
	case f.got <- true:
	default:
	}
	return len(b), nil
}

// Young folders may be another's work and stay.
func TestSweepLeavesTheYoung(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "p")
	young, old := filepath.Join(filepath.Dir(dir), ".p.new-1"), filepath.Join(filepath.Dir(dir), ".p.new-2")
	for _, d := range []string{young, old} {
		if err := os.MkdirAll(filepath.Join(d, "x"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	past := time.Now().Add(-time.Hour)
	if err := os.Chtimes(old, past, past); err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, paperSet(1, 1), nil); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(young); err != nil {
		t.Error("a folder just made was taken away")
	}
	if _, err := os.Stat(old); err == nil {
		t.Error("a folder left an hour ago is still there")
	}
}

// smallDisk mounts a disk of a few kilobytes, or skips loudly.
func smallDisk(t *testing.T, bytes int) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%d", bytes)); err != nil {
		t.Skipf("SKIPPED: no small disk can be mounted (%v); a full disk was not tried", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir
}

func TestFullDisk(t *testing.T) {
	disk := smallDisk(t, 256<<10)
	dir := filepath.Join(disk, "p")
	if err := Write(dir, paperSet(1, 1000), nil); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(filepath.Join(dir, manifestName))
	if err != nil {
		t.Fatal(err)
	}
	err = Write(dir, paperSet(2, 100000), nil)
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatalf("a full disk: %v", err)
	}
	if err := wholePacket(dir); err != nil {
		t.Error(err)
	}
	if now, _ := os.ReadFile(filepath.Join(dir, manifestName)); !bytes.Equal(now, before) {
		t.Error("the old packet was touched")
	}
	if left, _ := os.ReadDir(disk); len(left) != 1 {
		t.Errorf("something was left beside it: %v", left)
	}
}

func TestReadOnlyDisk(t *testing.T) {
	disk := smallDisk(t, 256<<10)
	dir := filepath.Join(disk, "p")
	if err := Write(dir, paperSet(1, 1000), nil); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tmpfs", disk, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("SKIPPED: the disk cannot be made read-only (%v)", err)
	}
	if err := Write(dir, paperSet(2, 1000), nil); !errors.Is(err, syscall.EROFS) {
		t.Fatalf("a read-only disk: %v", err)
	}
	if err := wholePacket(dir); err != nil {
		t.Error(err)
	}
}

// A disk that fails between two papers leaves the old packet.
func TestFailsBetweenPapers(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "p")
	if err := Write(dir, paperSet(1, 10), nil); err != nil {
		t.Fatal(err)
	}
	bad := append(paperSet(2, 10)[:4], Doc{Name: strings.Repeat("x", 81)})
	if err := Write(dir, bad, nil); err == nil {
		t.Fatal("a name too long was written")
	}
	if err := wholePacket(dir); err != nil {
		t.Error(err)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "paper-0.txt")); !strings.HasPrefix(string(got), "1\n") {
		t.Errorf("the old paper now says %.10q", got)
	}
}
