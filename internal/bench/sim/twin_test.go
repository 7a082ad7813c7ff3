package sim

import (
	"context"
	"testing"

	"knobwright/internal/bench/decode"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

// The firmware with a sound panel behind it tells each press by its name; with two leads exchanged it tells the other one.
func TestTwin(t *testing.T) {
	r := jobOf(t, "cue-desk")
	for _, c := range []struct {
		faults []diagnosis.Fault
		press  string
		want   string
	}{
		{nil, "bell", "bell"}, {nil, "go", "go"},
		{[]diagnosis.Fault{{Kind: diagnosis.Swapped, A: lug("bell", "no"), B: lug("rain", "no")}}, "bell", "rain"},
		{[]diagnosis.Fault{{Kind: diagnosis.SupplyOff, A: lug("expander", "VCC"), B: lug("pots", "VCC")}}, "go", ""},
	} {
		tw, err := NewTwin(context.Background(), r, c.faults...)
		if err != nil {
			t.Fatal(err)
		}
		s, err := decode.New(r.Firmware).Stream(r.Firmware.Interfaces[0].Descriptor)
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := tw.Play(diagnosis.Act{Do: diagnosis.Rest}); err != nil {
			t.Fatal(err)
		}
		seen, frames, err := tw.Play(diagnosis.Act{Do: diagnosis.Press, Device: c.press})
		if err != nil {
			t.Fatal(err)
		}
		down, raws := "", 0
		for _, f := range frames {
			if f.Raw != nil {
				raws++
				continue
			}
			changes, err := s.Report(f.Report)
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range changes {
				if x.On && !x.Axis && x.Name != "mood/1" && x.Name != "desk" {
					down += x.Name
				}
			}
		}
		if down != c.want || raws < 2 {
			t.Errorf("%v, %s pressed: %q came down, want %q (%d looks at raw bits)\n%v\n%v", c.faults, c.press, down, c.want, raws, seen.Moments, frames)
		}
		if err := tw.Close(); err != nil {
			t.Error(err)
		}
	}
}

// The module with another panel's table says so by its checksum.
func TestTwinWithWrongTable(t *testing.T) {
	r := jobOf(t, "cue-desk")
	tw, err := NewTwin(context.Background(), r, diagnosis.Fault{Kind: diagnosis.WrongTable})
	if err != nil {
		t.Fatal(err)
	}
	defer tw.Close()
	if tw.Table() == decode.New(r.Firmware).Table() {
		t.Error("the wrong table has the right checksum")
	}
	id, err := tw.Identity()
	if err != nil || id.Error != 0 {
		t.Error(id, err)
	}
	right, err := New(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range r.Wiring.Devices {
		if d.ID == "bell" && d.Kind == wiring.DevSwitch {
			a, _ := shows(t, tw.Panel, diagnosis.Act{Do: diagnosis.Press, Device: d.ID})
			b, _ := shows(t, right, diagnosis.Act{Do: diagnosis.Press, Device: d.ID})
			if len(a) == 1 && len(b) == 1 && a[0] == b[0] {
				t.Error("the wrong table reads the bell as the right one")
			}
		}
	}
}
