package safefile

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestReplace(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.yaml")
	if err := os.WriteFile(path, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "link.yaml")
	if err := os.Symlink("a.yaml", link); err != nil {
		t.Fatal(err)
	}
	if err := Replace(link, []byte("other"), []byte("new")); !errors.Is(err, ErrChanged) {
		t.Fatalf("a file changed by somebody else must not be replaced: %v", err)
	}
	if err := Replace(link, []byte("old"), []byte("new")); err != nil {
		t.Fatal(err)
	}
	got, _ := os.ReadFile(path)
	st, _ := os.Stat(path)
	if string(got) != "new" || st.Mode().Perm() != 0o640 {
		t.Fatalf("got %q, mode %v", got, st.Mode())
	}
	if fi, _ := os.Lstat(link); fi.Mode()&os.ModeSymlink == 0 {
		t.Fatal("the link was replaced by a file")
	}
	left, _ := os.ReadDir(dir)
	if len(left) != 2 {
		t.Fatalf("something was left lying: %v", left)
	}
}

func TestWriteNowhere(t *testing.T) {
	if err := Write(filepath.Join(t.TempDir(), "no", "such", "folder"), []byte("x"), 0o644); err == nil {
		t.Fatal("an error is wanted")
	}
}
