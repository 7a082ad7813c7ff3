package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write docs/audit.md anew")

// licences are told by words that their texts have.
var licences = []struct{ name, has string }{
	{"Apache-2.0", "Apache License"}, {"MPL-2.0", "Mozilla Public License"}, {"BSD-3-Clause", "Neither the name"}, {"BSD-3-Clause", "names of its contributors"}, {"BSD-2-Clause", "Redistribution and use"}, {"ISC", "Permission to use, copy, modify, and/or distribute"}, {"ISC", "Permission to use, copy, modify, and distribute this software"}, {"MIT", "Permission is hereby granted, free of charge"},
}

func licence(dir string) string {
	var found []string
	names, _ := filepath.Glob(filepath.Join(dir, "*"))
	for _, n := range names {
		base := strings.ToUpper(filepath.Base(n))
		if !strings.HasPrefix(base, "LICEN") && !strings.HasPrefix(base, "COPYING") {
			continue
		}
		text, err := os.ReadFile(n)
		if err != nil {
			continue
		}
		for _, l := range licences {
			if bytes.Contains(text, []byte(l.has)) {
				found = append(found, l.name)
				break
			}
		}
	}
	sort.Strings(found)
	if len(found) == 0 {
		return "UNKNOWN"
	}
	return strings.Join(found, " and ")
}

// docs/audit.md lists just what is linked into the binary, with versions and licences.
func TestAudit(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}} {{.Dir}}{{end}}{{end}}", "../cmd/knobwright").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	var lines []string
	for _, l := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		f := strings.Fields(l)
		if len(f) != 3 || seen[f[0]] {
			continue
		}
		seen[f[0]] = true
		lic := licence(f[2])
		if lic == "UNKNOWN" {
			t.Errorf("%s: its licence is not told", f[0])
		}
		lines = append(lines, fmt.Sprintf("| %s | %s | %s |", f[0], f[1], lic))
	}
	sort.Strings(lines)
	var b strings.Builder
	b.WriteString("# What is linked in\n\nMade by `go test ./release -update`; a test fails when it is not up to date. Every module with its version (go.sum has the hashes) and its\nlicence, as its own licence file says. Why each is here stands in [dependencies.md](dependencies.md).\n\n" +
		"| module | version | licence |\n|---|---|---|\n" + strings.Join(lines, "\n") + "\n\n" +
		"The page's own modules are in web/package-lock.json with their hashes; what is built from them lies in web/dist. Fonts: see dependencies.md.\n\n" +
		"## Known weaknesses\n\nA scan against the public list of known weaknesses wants that list from the network:\n\n    go run golang.org/x/vuln/cmd/govulncheck@latest ./...\n\n" +
		"Where the list cannot be had, this is what was looked at by hand instead, module by module: what it is given to read, and what bounds it.\n\n" +
		"| module | reads from outside | bound |\n|---|---|---|\n" +
		"| go.yaml.in/yaml/v4 | panel files, catalogues, stock, records | size, depth and aliases limited before decoding; fuzzed |\n" +
		"| codeberg.org/go-pdf/fpdf | nothing from outside: fonts are ours, texts are checked for glyphs first | |\n" +
		"| golang.org/x/image | our own fonts | |\n" +
		"| github.com/tetratelabs/wazero | our own panel.wasm, which reads tables that are fuzzed under sanitizers | memory of the module alone |\n" +
		"| golang.org/x/text, golang.org/x/term, golang.org/x/sys | labels; the terminal | |\n" +
		"| github.com/alecthomas/kong and what it draws in | the command line | |\n" +
		"| encoding/xml, encoding/csv, encoding/json, net/http of Go itself | drawings, lists, requests of the page | size and depth limited; fuzzed; the Go release's own notes tell of weaknesses |\n")
	want := b.String()
	const file = "../docs/audit.md"
	if *update {
		if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(file)
	if err != nil || string(got) != want {
		t.Errorf("docs/audit.md is not what is linked: go test ./release -update")
	}
}

// The same files give the same archives.
func TestArchivesAreTheSame(t *testing.T) {
	files := []file{{"a", 0o755, []byte("one")}, {"b/c", 0o644, bytes.Repeat([]byte("two "), 1000)}}
	for _, pack := range []func(string, []file) ([]byte, string, error){tarball, zipped} {
		x, _, err := pack("top", files)
		if err != nil {
			t.Fatal(err)
		}
		y, _, _ := pack("top", files)
		if !bytes.Equal(x, y) {
			t.Error("packed twice it differs")
		}
	}
}
