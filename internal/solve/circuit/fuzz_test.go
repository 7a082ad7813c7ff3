package circuit

import (
	"encoding/binary"
	"fmt"
	"math"
	"testing"
)

// Whatever is built, an answer meets Kirchhoff's law or there is a sentence; nothing panics and nothing is NaN.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{1, 0, 1, 5, 0, 2, 1, 3, 0, 1, 7, 9})
	f.Add([]byte{3, 1, 0, 9, 0, 1, 0, 4, 4, 1, 2, 1, 0, 2, 0, 3})
	f.Fuzz(func(t *testing.T, data []byte) {
		n := New()
		value := func(b byte) float64 {
			switch b {
			case 250:
				return math.NaN()
			case 251:
				return math.Inf(1)
			case 252:
				return 0
			case 253:
				return -1
			case 254:
				return 5e-324
			case 255:
				return math.MaxFloat64
			}
			return math.Pow(10, float64(b)/12-8)
		}
		for i := 0; len(data) >= 4 && i < 60; i++ {
			name, a, b, v := fmt.Sprint(i), fmt.Sprint(data[1]%12), fmt.Sprint(data[2]%12), value(data[3])
			switch data[0] % 7 {
			case 0, 5:
				n.Resistor(name, a, b, v)
			case 1:
				n.Voltage(name, a, b, v/1e3)
			case 2:
				n.Current(name, a, b, v/1e9)
			case 3:
				n.Diode(name, a, b, Diode{Sat: v * 1e-16, Ideal: 1 + float64(data[0])/100, Rs: float64(data[0] / 16)})
			case 4:
				n.Switch(name, a, b, data[3]%2 == 0)
			case 6:
				n.Diode(name, a, b, Diode{Sat: math.Float64frombits(binary.LittleEndian.Uint64(append(data[:4:4], 1, 2, 3, 0x3d)))})
			}
			data = data[4:]
		}
		s, err := n.Solve()
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without a sentence")
			}
			return
		}
		largest := 0.0
		for _, e := range n.Elements() {
			if i := s.I(e); math.IsNaN(i) || math.IsInf(i, 0) {
				t.Fatalf("current of %s: %g", e, i)
			}
			largest = max(largest, math.Abs(s.I(e)))
		}
		volt := 0.0
		for _, node := range n.Nodes() {
			volt = max(volt, math.Abs(s.V(node)))
		}
		// A resistor of an ohm takes voltages apart to the last bit of the largest voltage; settling adds its own share.
		if s.Leak > 1e-6*largest+1e-14*volt+1e-12 {
			t.Errorf("Kirchhoff's law is missed by %g A of %g A at up to %g V", s.Leak, largest, volt)
		}
	})
}
