package wiring

import (
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// workOwn plans a file with parts of the person's own.
func workOwn(t *testing.T, own, src string) (*panel.Panel, Result) {
	t.Helper()
	cat, _ := catalog.Builtin().With("own.yaml", []byte(own)) // records may lack what this test wants them to lack
	p, _ := panel.Place(project.Read("panel.yaml", []byte(src)), cat)
	return p, Work(p, cat)
}

// Records that say too little: the rest is planned.
func TestUnknownRecords(t *testing.T) {
	own := "parts:\n  odd: {title: Odd button, class: push, hole: {round: 16}, grip: [1, 8], lugs: [{name: a, at: [0, 0]}, {name: b, at: [3, 0]}]}\n" +
		"  bare-board: {title: Bare board, class: module, seat: rear, rear: [{role: body, rect: [20, 40], z: [-2, 0]}], lugs: [{name: \"1\", at: [0, 0]}]}\n"
	p, r := workOwn(t, own, desk+"controls:\n  go: {part: push-16mm, at: [50, 150]}\n  x: {part: odd, at: [90, 150]}\n")
	check(t, p, &r)
	f := one(t, r, "wire.unknown-circuit")
	if !strings.Contains(f.Head, "X does to its lugs") || len(f.Fixes) != 1 || seat(t, r, "go").Way != Direct {
		t.Errorf("%+v", f)
	}
	p, r = workOwn(t, own, strings.Replace(desk, "rp2040-40pin", "bare-board", 1)+"controls:\n  go: {part: push-16mm, at: [50, 150]}\n")
	check(t, p, &r)
	if f := one(t, r, "wire.no-pins"); !strings.Contains(f.Head, "Bare board") || !r.Plan.Partial {
		t.Errorf("%+v", f)
	}
	p, r = workOwn(t, own, desk+"wiring: {boards: {more: {part: bare-board}}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n")
	check(t, p, &r)
	if f := one(t, r, "wire.no-pins"); !strings.Contains(f.Body, "No lead goes to more") || r.Plan.Partial {
		t.Errorf("%+v", f)
	}
}

// A module of the person's own, with a bus of its own naming and a pin only for the person to give.
func TestOwnModule(t *testing.T) {
	own := `parts:
  mine:
    title: My board
    class: module
    seat: rear
    rear: [{role: body, rect: [20, 40], z: [-2, 0]}]
    lugs: [{name: "1", at: [0, 0]}, {name: "2", at: [0, 3]}, {name: "3", at: [0, 6]}, {name: "4", at: [0, 9]}, {name: "5", at: [0, 12]}]
    board:
      {role: module, chip: X, volts: 5, bears: 5.5, low: 1, high: 3, pin-usual: 5, pin-most: 20, all-most: 100, supplies: [{lug: "5", volts: 5, gives: 400, from: port}],
       pins: [{lug: "1", name: P1, kind: io, can: [digital, sda]}, {lug: "2", name: P2, kind: io, can: [digital, scl]}, {lug: "3", name: BOOT, kind: io, can: [digital], avoid: 2, duty: boot},
              {lug: "4", name: G, kind: ground}, {lug: "5", name: V, kind: supply}]}
`
	src := strings.Replace(desk, "rp2040-40pin", "mine", 1)
	p, r := workOwn(t, own, src+"controls:\n  text: {part: display-16x2, at: [150, 150]}\n")
	check(t, p, &r)
	if r.Plan.Partial || seat(t, r, "i2c/data").Pin.Lug != "1" || seat(t, r, "i2c/clock").Pin.Lug != "2" {
		t.Error(dump(r))
	}
	three := "controls:\n  a: {part: push-16mm, at: [50, 150]}\n  b: {part: push-16mm, at: [90, 150]}\n  c: {part: push-16mm, at: [130, 150]}\n"
	p, r = workOwn(t, own, src+"wiring: {by: direct}\n"+three)
	check(t, p, &r)
	if !r.Plan.Partial {
		t.Error("a pin that only the person gives was taken")
	}
	p, r = workOwn(t, own, src+"wiring: {by: direct, pins: {c: BOOT}}\n"+three)
	check(t, p, &r)
	if r.Plan.Partial || seat(t, r, "c").Pin.Lug != "3" || len(of(r, "wire.boot-pin")) != 1 {
		t.Error(dump(r))
	}
}
