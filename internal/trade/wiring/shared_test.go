package wiring

import (
	"strings"
	"testing"

	"knobwright/internal/finding"
)

// twice lists the lugs that stand in two nets.
func twice(r *Result) []Terminal {
	var out []Terminal
	first := map[Terminal]int{}
	for i, n := range r.Nets {
		for _, t := range n.Terms {
			if j, seen := first[t]; seen && j != i {
				out = append(out, t)
			}
			first[t] = i
		}
	}
	return out
}

// A lit rocker has one lug for its contact and the plus of its lamp: a pin that lights the lamp would be shorted to ground there.
func TestLampOnALugOfItsContact(t *testing.T) {
	doc, p, r := work(t, desk+"controls:\n  fan: {part: rocker-19x13-lit, at: [50, 150]}\n")
	check(t, p, &r)
	if l := twice(&r); len(l) > 0 {
		t.Fatalf("in two nets: %v", l)
	}
	f := one(t, r, "wire.lamp-shares")
	if !strings.Contains(f.Head, "The lamp of FAN stays dark: its plus is lug 2") || f.Severity != finding.Warn || len(f.Ends) != 2 || len(f.Fixes) != 1 {
		t.Errorf("%+v", f)
	}
	if s := seat(t, r, "fan"); s.Way != Direct || len(r.Signals) != 1 {
		t.Error(dump(r))
	}
	if s := mend(t, doc, f.Fixes[0]); len(of(s, "wire.lamp-shares")) > 0 || len(twice(&s)) > 0 {
		t.Error(dump(s))
	}
	_, _, r = work(t, desk+"controls:\n  fan: {part: rocker-19x13-lit, at: [50, 150], via: none}\n") // only the lamp: nothing is shared
	if len(of(r, "wire.lamp-shares")) > 0 || seat(t, r, "fan/lamp").Way != Direct {
		t.Error(dump(r))
	}
}

const sharedParts = `parts:
  on-lead: {like: push-16mm, lugs: [{name: "1", at: [-4, 0]}, {name: "2", at: [4, 0]}, {name: "3", at: [0, 4]}], lamp: {colour: red, drop: 2, current: 10},
    circuit: {positions: [rest, pressed], springs: [pressed], contacts: [{lugs: ["1", "2"], closed: [pressed]}], lamps: [{plus: "3", minus: "2"}]}}
  on-ground: {like: push-16mm, lugs: [{name: "1", at: [-4, 0]}, {name: "2", at: [4, 0]}, {name: "3", at: [0, 4]}], lamp: {colour: red, drop: 2, current: 10},
    circuit: {positions: [rest, pressed], springs: [pressed], contacts: [{lugs: ["1", "2"], closed: [pressed]}], lamps: [{plus: "3", minus: "1"}]}}
  in-line: {like: push-16mm, lugs: [{name: "1", at: [-4, 0]}, {name: "2", at: [4, 0]}, {name: "3", at: [0, 4]}, {name: "4", at: [0, -4]}],
    circuit: {positions: [a, b], contacts: [{lugs: ["1", "2"], closed: [a]}, {lugs: ["2", "3"], closed: [b]}, {lugs: ["3", "4"], closed: [a, b]}]}}
`

// A lamp whose minus is the lug of the lead can only be lit by that contact; one whose minus is at ground with the contact keeps it out of
// a matrix.
func TestLampOnTheOtherLugs(t *testing.T) {
	p, r := workOwn(t, sharedParts, desk+"controls:\n  a: {part: on-lead, at: [50, 150]}\n  b: {part: on-ground, at: [90, 150]}\n")
	check(t, p, &r)
	if l := twice(&r); len(l) > 0 || len(r.Signals) != 3 {
		t.Errorf("in two nets: %v\n%s", l, dump(r))
	}
	src := desk + "wiring: {by: matrix}\ncontrols:\n  b: {part: on-ground, at: [90, 150]}\ngroups:\n" + row("k", "push-12mm", 6, 100)
	p, r = workOwn(t, sharedParts, src)
	check(t, p, &r)
	if l := twice(&r); len(l) > 0 || seat(t, r, "b").Way != Direct {
		t.Errorf("in two nets: %v\n%s", l, dump(r))
	}
}

// Contacts in a row inside a part: a lug would be a lead and ground at once. It is told, with both ends.
func TestShortedByItsRecord(t *testing.T) {
	_, r := workOwn(t, sharedParts, desk+"controls:\n  odd: {part: in-line, at: [50, 150]}\n")
	fs := of(r, "wire.shorted")
	if len(twice(&r)) == 0 || len(fs) == 0 {
		t.Fatal(dump(r))
	}
	if f := fs[0]; f.Severity != finding.Stop || len(f.Ends) < 2 || !strings.Contains(f.Head, "meet at lug") {
		t.Errorf("%+v", f)
	}
}

// A crossing counts as settled by the person when its row and column stand in the file, not when the file only asks for a matrix.
func TestCrossingsSettled(t *testing.T) {
	src := desk + "wiring: {by: matrix, pins: {k-1: {row: 1, column: 2}}}\ngroups:\n" + row("k", "push-12mm", 6, 100)
	_, p, r := work(t, src)
	check(t, p, &r)
	if !seat(t, r, "k-1").Fixed || seat(t, r, "k-2").Fixed {
		t.Error(dump(r))
	}
}

// What was computed is told of one as of one, a lamp that may stay dark has no digits, and of a leak that nobody knows no number is made.
func TestSentencesOfOne(t *testing.T) {
	_, _, r := work(t, desk+"controls:\n  a: {part: push-16mm-lit, at: [50, 150]}\n  text: {part: display-oled-0.96, at: [150, 150]}\n")
	all := strings.Join(r.Power.Checked, "\n")
	for _, s := range []string{"1 lamp: 1.2 mA; with every tolerance against it or for it 0 to 3.9 mA.", "The one that wants a supply"} {
		if !strings.Contains(all, s) {
			t.Errorf("no %q in\n%s", s, all)
		}
	}
	own := "parts:\n  quiet: {title: Quiet board, class: module, seat: rear, rear: [{role: body, rect: [20, 40], z: [-2, 0]}], lugs: [{name: \"1\", at: [0, 0]}, {name: \"2\", at: [0, 3]}, {name: \"3\", at: [0, 6]}],\n" +
		"    board: {role: module, chip: X, volts: 5, bears: 5.5, low: 1, high: 3, pin-usual: 5, pin-most: 20, all-most: 100, pull-up: [20000, 50000], supplies: [{lug: \"3\", volts: 5, gives: 400, from: port}],\n" +
		"      pins: [{lug: \"1\", name: P1, kind: io, can: [digital, analog]}, {lug: \"2\", name: G, kind: ground}, {lug: \"3\", name: V, kind: supply}]}}\n"
	_, r = workOwn(t, own, strings.Replace(desk, "rp2040-40pin", "quiet", 1)+"controls:\n  p: {part: pot-16mm, at: [50, 150]}\n")
	if all = strings.Join(r.Power.Checked, "\n"); !strings.Contains(all, "how much the pin leaks is not known") || strings.Contains(all, " 0 %") {
		t.Error(all)
	}
}
