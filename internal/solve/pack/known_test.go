package pack

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// published is a row of a table of published values, by the names of its columns.
type published map[string]string

func (p published) number(column string) (float64, bool) {
	v, err := strconv.ParseFloat(p[column], 64)
	return v, err == nil
}

// publishedRows reads the table of values of one set below KNOWN_INSTANCES, and skips the test where that is not set.
func publishedRows(t testing.TB, set string) []published {
	t.Helper()
	root := os.Getenv("KNOWN_INSTANCES")
	if root == "" {
		t.Skip("KNOWN_INSTANCES is not set: published optima are NOT compared")
	}
	f, err := os.Open(filepath.Join(root, set, "values.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []published
	for _, row := range rows[1:] {
		p := published{}
		for i, name := range rows[0] {
			p[name] = row[i]
		}
		all = append(all, p)
	}
	return all
}

// numbers reads the whole numbers of an instance, without heading lines.
func numbers(t testing.TB, set, name string) []int {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(os.Getenv("KNOWN_INSTANCES"), set, name))
	if err != nil {
		t.Fatal(err)
	}
	var list []int
	for line := range strings.Lines(string(text)) {
		var row []int
		for _, word := range strings.Fields(line) {
			n, err := strconv.Atoi(word)
			if err != nil {
				row = nil
				break
			}
			row = append(row, n)
		}
		list = append(list, row...)
	}
	return list
}

// pattern is a published question of the best pattern from one sheet.
type pattern struct {
	name   string
	sheet  Sheet
	pieces []Piece
	row    published
}

func patterns(t testing.TB, set string) []pattern {
	t.Helper()
	var all []pattern
	for _, row := range publishedRows(t, "guillotine-knapsack/"+set) {
		p := pattern{name: row["instance"], row: row}
		file := p.name
		if set != "constrained" {
			file += ".txt"
		}
		n := numbers(t, "guillotine-knapsack/"+set, file)
		var kinds int
		switch set {
		case "unconstrained":
			kinds, p.sheet, n = n[0], Sheet{Width: float64(n[1]), Height: float64(n[2]), Count: 1}, n[3:]
			for ; kinds > 0; kinds, n = kinds-1, n[3:] {
				p.pieces = append(p.pieces, Piece{Width: float64(n[0]), Height: float64(n[1]), Value: float64(n[2]), Count: Unlimited})
			}
		case "constrained":
			kinds, p.sheet, n = n[2], Sheet{Width: float64(n[0]), Height: float64(n[1]), Count: 1}, n[3:]
			for ; kinds > 0; kinds, n = kinds-1, n[4:] {
				p.pieces = append(p.pieces, Piece{Width: float64(n[0]), Height: float64(n[1]), Value: float64(n[2]), Count: n[3]})
			}
		case "ngcut":
			kinds, p.sheet, n = n[1], Sheet{Width: float64(n[2]), Height: float64(n[3]), Count: 1}, n[4:]
			for ; kinds > 0; kinds, n = kinds-1, n[5:] {
				if n[2] != 0 {
					t.Fatalf("%s: a least number of pieces", p.name)
				}
				p.pieces = append(p.pieces, Piece{Width: float64(n[0]), Height: float64(n[1]), Value: float64(n[4]), Count: n[3]})
			}
		}
		if len(n) != 0 {
			t.Fatalf("%s: %d numbers too many", p.name, len(n))
		}
		all = append(all, p)
	}
	return all
}

// turnable lets all pieces be turned.
func turnable(pieces []Piece) []Piece {
	out := make([]Piece, len(pieces))
	for i, p := range pieces {
		p.Turn = true
		out[i] = p
	}
	return out
}
