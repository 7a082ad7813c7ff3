// Command release builds knobwright for every system and packs each with its manual page, completions and licences:
//
//	go run ./release            into ./dist-release
//	go run ./release OUT linux/amd64 windows/arm64
//
// The same source with the same Go gives the same bytes: no paths, times or build marks go in.
package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"sort"
	"strings"
	"time"
)

// targets are the systems that are built for.
var targets = []string{"linux/amd64", "linux/arm64", "darwin/amd64", "darwin/arm64", "windows/amd64", "windows/arm64"}

// stamp is the time of every packed file: archives want one, and it must not differ from build to build.
var stamp = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

func main() {
	out, which := "dist-release", targets
	if len(os.Args) > 1 {
		out = os.Args[1]
	}
	if len(os.Args) > 2 {
		which = os.Args[2:]
	}
	if err := run(out, which); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

// file is one file of an archive.
type file struct {
	name string
	mode int64
	data []byte
}

func run(out string, which []string) error {
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp("", "knobwright-release")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	own := filepath.Join(tmp, "knobwright")
	if err := build(own, runtime.GOOS, runtime.GOARCH); err != nil {
		return err
	}
	common, err := beside(own)
	if err != nil {
		return err
	}
	var sums []string
	for _, t := range which {
		system, arch, ok := strings.Cut(t, "/")
		if !ok {
			return fmt.Errorf("%q is no target: say linux/amd64", t)
		}
		bin := filepath.Join(tmp, "bin")
		if err := build(bin, system, arch); err != nil {
			return err
		}
		data, err := os.ReadFile(bin)
		if err != nil {
			return err
		}
		name, exe, pack := "knobwright-"+system+"-"+arch, "knobwright", tarball
		if system == "windows" {
			exe, pack = "knobwright.exe", zipped
		}
		files := append([]file{{exe, 0o755, data}}, common...)
		sort.Slice(files, func(i, j int) bool { return files[i].name < files[j].name })
		packed, ending, err := pack(name, files)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(out, name+ending), packed, 0o644); err != nil {
			return err
		}
		sums = append(sums, fmt.Sprintf("%x  %s", sha256.Sum256(packed), name+ending))
		fmt.Printf("%s  %.1f MB, binary %.1f MB\n", name+ending, float64(len(packed))/1e6, float64(len(data))/1e6)
	}
	return os.WriteFile(filepath.Join(out, "SHA256SUMS"), []byte(strings.Join(sums, "\n")+"\n"), 0o644)
}

func build(out, system, arch string) error {
	c := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w -buildid=", "-o", out, "./cmd/knobwright")
	c.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+system, "GOARCH="+arch, "GOFLAGS=")
	c.Stdout, c.Stderr = os.Stderr, os.Stderr
	if err := c.Run(); err != nil {
		return fmt.Errorf("building for %s/%s: %w", system, arch, err)
	}
	return nil
}

// beside gives what lies beside the binary: manual page, completions, licences, the guide.
func beside(bin string) ([]file, error) {
	var out []file
	for name, args := range map[string][]string{
		"man/knobwright.1":            {"man"},
		"completions/knobwright.bash": {"completion", "-c", "bash"},
		"completions/knobwright.zsh":  {"completion", "-c", "zsh"},
		"completions/knobwright.fish": {"completion", "-c", "fish"},
	} {
		data, err := exec.Command(bin, args...).Output()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		// completion lines name the program by its path here; on the person's machine it is found by its name
		out = append(out, file{name, 0o644, bytes.ReplaceAll(data, []byte(bin), []byte("knobwright"))})
	}
	for _, name := range []string{"LICENSE", "README.md", "CHANGELOG.md", "SECURITY.md", "docs/dependencies.md"} {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		out = append(out, file{name, 0o644, data})
	}
	fonts, err := filepath.Glob("internal/drawing/fonts/*.txt")
	if err != nil {
		return nil, err
	}
	for _, f := range fonts {
		data, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		out = append(out, file{"licences/" + filepath.Base(f), 0o644, data})
	}
	return out, nil
}

func tarball(top string, files []file) ([]byte, string, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, "", err
	}
	t := tar.NewWriter(z)
	for _, f := range files {
		h := &tar.Header{Name: top + "/" + f.name, Mode: f.mode, Size: int64(len(f.data)), ModTime: stamp, Format: tar.FormatUSTAR}
		if err := t.WriteHeader(h); err != nil {
			return nil, "", err
		}
		if _, err := t.Write(f.data); err != nil {
			return nil, "", err
		}
	}
	if err := t.Close(); err != nil {
		return nil, "", err
	}
	if err := z.Close(); err != nil {
		return nil, "", err
	}
	return b.Bytes(), ".tar.gz", nil
}

func zipped(top string, files []file) ([]byte, string, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		w, err := z.CreateHeader(&zip.FileHeader{Name: top + "/" + f.name, Method: zip.Deflate, Modified: stamp})
		if err != nil {
			return nil, "", err
		}
		if _, err := w.Write(f.data); err != nil {
			return nil, "", err
		}
	}
	err := z.Close()
	return b.Bytes(), ".zip", err
}
