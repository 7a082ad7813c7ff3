package harness

import "testing"

// A further board works only when its supply, its ground and all that must lie at ground for good have a wire each: of the multiplexer the
// enable pin and the lowest voltage of its lines are not joined to ground on the board.
func TestBoardsAreFed(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"wiring: {boards: {pots: {part: analog-in-8, at: [120, 60]}, more: {part: io-expander-16, at: [60, 60]}}}\n"+
		"controls:\n  b: {part: pot-16mm, at: [190, 60], via: none}\n  c: {part: pot-16mm, at: [230, 60]}\n  a: {part: push-16mm, at: [120, 60], via: expander}\n"))
	wired := map[string]bool{}
	for _, x := range w.r.Wires {
		wired[x.From.Of+" "+x.From.Lug], wired[x.To.Of+" "+x.To.Lug] = true, true
	}
	for _, pin := range []string{"pots VCC", "pots GND", "pots E", "pots VEE", "more VCC", "more GND"} {
		if !wired[pin] {
			t.Errorf("no wire goes to %s", pin)
		}
	}
	tried := map[string]bool{}
	for _, r := range w.r.Rings {
		tried[r.B.Of+" "+r.B.Lug] = tried[r.B.Of+" "+r.B.Lug] || r.Rings
	}
	for _, pin := range []string{"pots E", "pots VEE", "pots GND"} {
		if !tried[pin] {
			t.Errorf("the continuity list does not try %s", pin)
		}
	}
}
