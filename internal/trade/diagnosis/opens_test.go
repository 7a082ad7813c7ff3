package diagnosis_test

import (
	"reflect"
	"testing"

	"knobwright/internal/trade/diagnosis"
)

// TestOpens: how a face is opened is said without weighing causes, and as it is said with each of them.
func TestOpens(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	r := m.Repair(m.Symptoms()[:1], nil, 1)
	if len(r.Mends) == 0 {
		t.Fatal("no cause")
	}
	if a, b := m.Opens(""), r.Mends[0].Open; a.Zero() || !reflect.DeepEqual(a, b) {
		t.Errorf("%v, with a cause %v", a, b)
	}
}
