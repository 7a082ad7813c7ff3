package assign

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"knobwright/internal/thorough"
)

// known is a published problem with its least cost, greatest cost, and least costs of its first 10, 25, 50 rows.
type known struct {
	name            string
	cost            [][]float64
	least, greatest float64
	first           map[int]float64
}

// knownInstances reads problems of the OR-Library (Beasley 1990, Journal of the Operational Research Society 41,
// 133-139) from the folder assignment below KNOWN_INSTANCES.
func knownInstances(t testing.TB) []known {
	t.Helper()
	root := os.Getenv("KNOWN_INSTANCES")
	if root == "" {
		t.Skip("KNOWN_INSTANCES is not set: published assignments are NOT compared")
	}
	folder := filepath.Join(root, "assignment")
	f, err := os.Open(filepath.Join(folder, "values.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number := func(word string) float64 {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	var all []known
	for _, row := range rows[1:] {
		text, err := os.ReadFile(filepath.Join(folder, row[0]+".txt"))
		if err != nil {
			t.Fatal(err)
		}
		words := strings.Fields(string(text))
		n := int(number(words[0]))
		if strconv.Itoa(n) != row[1] || len(words) != 1+n*n {
			t.Fatalf("%s: %d numbers for %d rows", row[0], len(words), n)
		}
		k := known{
			name: row[0], least: number(row[2]), greatest: number(row[3]),
			first: map[int]float64{10: number(row[4]), 25: number(row[5]), 50: number(row[6])},
		}
		for i := range n {
			var line []float64
			for _, word := range words[1+i*n:][:n] {
				line = append(line, number(word))
			}
			k.cost = append(k.cost, line)
		}
		all = append(all, k)
	}
	return all
}

// The least costs are those published; the others were recomputed with another solver by who collected the files.
func TestKnownValues(t *testing.T) {
	for _, k := range knownInstances(t) {
		if !thorough.Is() && len(k.cost) > 200 {
			continue
		}
		start := time.Now()
		a, err := Solve(k.cost)
		took := time.Since(start)
		if err != nil || a.Cost != k.least || a.Short != nil {
			t.Errorf("%s: %g, published %g; %v", k.name, a.Cost, k.least, err)
		}
		if err := Check(k.cost, nil, a); err != nil {
			t.Error(k.name, err)
		}
		t.Logf("%s: %g, in %v", k.name, a.Cost, took.Round(100*time.Microsecond))
		for rows, want := range k.first {
			if a, err := Solve(k.cost[:rows]); err != nil || a.Cost != want {
				t.Errorf("%s, first %d rows: %g, want %g; %v", k.name, rows, a.Cost, want, err)
			}
		}
		negative := make([][]float64, len(k.cost))
		for i, row := range k.cost {
			for _, c := range row {
				negative[i] = append(negative[i], -c)
			}
		}
		if a, err := Solve(negative); err != nil || -a.Cost != k.greatest || Check(negative, nil, a) != nil {
			t.Errorf("%s: at most %g, want %g; %v", k.name, -a.Cost, k.greatest, err)
		}
	}
}
