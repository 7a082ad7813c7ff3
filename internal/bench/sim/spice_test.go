package sim

import (
	"math"
	"testing"

	"knobwright/internal/solve/circuit"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/witness"
)

// A sample of what faulty panels are made of, against ngspice: every voltage to 0.1 mV plus a thousandth.
func TestSampleAgainstNgspice(t *testing.T) {
	witness.Tool(t, "ngspice")
	var nets []*circuit.Network
	for _, name := range withTables {
		r := jobOf(t, name)
		all := Faults(r)
		for i := 0; i < len(all); i += 1 + len(all)/25 {
			p, err := New(r, all[i])
			if err != nil {
				t.Fatal(err)
			}
			n := 0
			p.net.watch = func(c *circuit.Network) {
				if len(c.Elements()) > 3 && n < 6 {
					n++
					nets = append(nets, c)
				}
			}
			for _, d := range r.Wiring.Devices {
				if n >= 6 {
					break
				}
				a := diagnosis.Act{Do: diagnosis.Press, Device: d.ID}
				switch d.Kind {
				case wiring.DevTrack:
					a.Do, a.Part = diagnosis.Slide, 0.9
				case wiring.DevLamp:
					a.Do = diagnosis.Light
				case wiring.DevEncoder:
					a.Do, a.Clicks = diagnosis.Turn, 1
				}
				_, _ = p.Do(a)
			}
		}
	}
	compared := 0
	for i, said := range witness.Spice(t, nets) {
		s, err := nets[i].Solve()
		if err != nil {
			t.Fatal(err)
		}
		for _, node := range nets[i].Nodes() {
			name, w := nets[i].SpiceNode(node), s.V(node)
			v, ok := said[name]
			if !ok {
				continue
			}
			compared++
			if math.Abs(v-w) > 1e-4+1e-3*math.Abs(v) {
				t.Errorf("network %d, %s: ngspice %.6f V, here %.6f V", i, name, v, w)
			}
		}
	}
	t.Logf("%d networks, %d voltages compared", len(nets), compared)
	if compared < 300 {
		t.Errorf("only %d voltages were compared", compared)
	}
}
