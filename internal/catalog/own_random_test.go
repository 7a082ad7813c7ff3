package catalog

import (
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

// A file with lines lost, doubled, swapped or half gone is read without breaking, and each complaint is a sentence.
func TestOwnFileNeverBreaks(t *testing.T) {
	page, err := os.ReadFile("../../docs/catalogue.md")
	if err != nil {
		t.Fatal(err)
	}
	var files [][]string
	for i, block := range strings.Split(string(page), "```") {
		if src, ok := strings.CutPrefix(block, "yaml\n"); ok && i%2 == 1 {
			files = append(files, strings.Split(src, "\n"))
		}
	}
	r := rand.New(rand.NewPCG(1, 2))
	said, whole := 0, 0
	for n := range 1500 {
		lines := append([]string(nil), files[n%len(files)]...)
		for range 1 + r.IntN(3) {
			i, j := r.IntN(len(lines)), r.IntN(len(lines))
			switch r.IntN(5) {
			case 0:
				lines = append(lines[:i:i], lines[i+1:]...)
			case 1:
				lines[i] = lines[j]
			case 2:
				lines[i], lines[j] = lines[j], lines[i]
			case 3:
				lines[i] = lines[i][:r.IntN(len(lines[i])+1)]
			case 4:
				lines[i] = strings.Map(func(c rune) rune {
					if c >= '0' && c <= '9' && r.IntN(2) == 0 {
						return []rune("-095.")[r.IntN(5)]
					}
					return c
				}, lines[i])
			}
			if len(lines) < 2 {
				break
			}
		}
		c, problems := Builtin().With("own.yaml", []byte(strings.Join(lines, "\n")))
		for _, p := range problems {
			said++
			if p.Say == "" || p.Rule == "" {
				t.Fatalf("%+v\n%s", p, strings.Join(lines, "\n"))
			}
		}
		for _, id := range []string{"organ-stop", "drawer-board"} {
			if p, ok := c.Part(id); ok {
				p.Validate()
				if !p.Circuit.None() || p.Board != nil {
					whole++
				}
			}
		}
	}
	if said < 500 || whole < 200 {
		t.Errorf("%d complaints, %d records read", said, whole)
	}
}
