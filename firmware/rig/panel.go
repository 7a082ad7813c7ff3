package rig

import (
	"context"
	"encoding/hex"
	"fmt"
	"strings"

	"knobwright/firmware"
)

// Panel is a simulated panel: the firmware with a table, its contacts, and a host that has enumerated it. It is what the bench and the
// tests use where no panel is at hand. Not for concurrent use.
type Panel struct {
	Back          *Back
	Wiring        *Wiring
	table         []byte
	Device        []byte // descriptors as the host got them
	Configuration []byte
}

// ForHost gives a table made for a chip as the firmware on this PC takes it: the same, but for the chip's mark and the checksum.
func ForHost(table []byte) []byte {
	out := append([]byte(nil), table...)
	if len(out) >= 20 {
		out[10] = byte(firmware.Host)
		firmware.Seal(out)
	}
	return out
}

// NewPanel starts a panel on this PC, plugs it in and enumerates it. table is a whole table, for whichever chip. An error when the
// firmware refuses it.
func NewPanel(ctx context.Context, table []byte) (*Panel, error) {
	b, err := Wasm(ctx)
	if err != nil {
		return nil, err
	}
	p, err := Plug(b, ForHost(table), firmware.Host)
	if err != nil {
		_ = b.Close()
		return nil, err
	}
	return p, nil
}

// Plug wires a firmware on this PC, gives it a table, and enumerates it.
func Plug(b *Back, table []byte, chip firmware.Chip) (*Panel, error) {
	w, err := b.Wire(table, chip)
	if err != nil {
		return nil, err
	}
	if _, err := b.Ask(fmt.Sprintf("load %X", table)); err != nil {
		return nil, err
	}
	p := &Panel{Back: b, Wiring: w, table: table}
	if p.Device, p.Configuration, err = b.Enumerate(1); err != nil {
		return nil, err
	}
	if id, err := p.Identity(); err != nil {
		return nil, err
	} else if id.Error != 0 {
		return nil, id.Refusal()
	}
	return p, nil
}

// numbered says whether reports bear numbers.
func (p *Panel) numbered() bool {
	all, err := sections(p.table)
	return err == nil && all[0x81].Count > 0 && record(all[0x81], 0)[0] != 0
}

// bench is the number of the interface that only our own programs use: the last one.
func (p *Panel) bench() uint8 {
	if len(p.Configuration) < 5 {
		return 0
	}
	return p.Configuration[4] - 1
}

// Press closes the contact of a raw bit, or opens it. False where the table reads no contact there.
func (p *Panel) Press(raw int, closed bool) (bool, error) {
	lines := p.Wiring.Contact(raw, closed)
	if lines == nil {
		return false, nil
	}
	_, err := p.Back.Ask(lines...)
	return true, err
}

// Turn turns an encoder's shaft by quarters of a period, one each us microseconds: when quarters is positive, in the order 00 01 11 10
// of the contacts of raw bits a and b, where 1 is closed. state is where the shaft stands, 0 to 3, and is moved on. The host asks for
// reports meanwhile, as in Run.
func (p *Panel) Turn(a, b int, state *int, quarters, us int) ([][]byte, error) {
	return p.Back.Turn(p.Wiring, a, b, state, quarters, us)
}

// Turn does the same for any wiring.
func (b *Back) Turn(w *Wiring, first, second int, state *int, quarters, us int) ([][]byte, error) {
	step := 1
	if quarters < 0 {
		step, quarters = 3, -quarters
	}
	const poll = 1000
	var lines []string
	since := 0
	for range quarters {
		*state = (*state + step) & 3
		lines = append(lines, w.Contact(first, *state >= 2)...)
		lines = append(lines, w.Contact(second, *state == 1 || *state == 2)...)
		for left := us; left > 0; {
			n := min(left, poll-since)
			lines = append(lines, fmt.Sprintf("run %d", n))
			left -= n
			if since += n; since == poll {
				lines = append(lines, "in 1")
				since = 0
			}
		}
	}
	return b.collect(lines)
}

// Slide brings an axis to a voltage, as a part of 65535. False where there is no such axis.
func (p *Panel) Slide(axis, value int) (bool, error) {
	line := p.Wiring.Voltage(axis, value)
	if line == "" {
		return false, nil
	}
	_, err := p.Back.Ask(line)
	return true, err
}

// Run lets milliseconds pass, in which the host asks for reports once each millisecond, and gives those that came, with their numbers.
func (p *Panel) Run(ms int) ([][]byte, error) { return p.Back.Listen(ms) }

// Listen does the same for any back end that was enumerated.
func (b *Back) Listen(ms int) ([][]byte, error) {
	lines := make([]string, 0, 2*ms)
	for range ms {
		lines = append(lines, "run 1000", "in 1")
	}
	return b.collect(lines)
}

// collect sends lines and gives the data among the answers.
func (b *Back) collect(lines []string) ([][]byte, error) {
	got, err := b.Ask(lines...)
	if err != nil {
		return nil, err
	}
	var out [][]byte
	for _, a := range got {
		if text, ok := strings.CutPrefix(a, "data "); ok {
			r, err := hex.DecodeString(text)
			if err != nil {
				return nil, err
			}
			out = append(out, r)
		}
	}
	return out, nil
}

// Level is what a pin shows: "0", "1", or "z" where nothing holds it. Lamps are seen by it.
func (p *Panel) Level(pin int) (string, error) { return p.Back.ask("level", "level %d", pin) }

// Identity is what the panel says of itself to the bench.
func (p *Panel) Identity() (Identity, error) {
	r, err := p.Back.Control(Setup{0xA1, 1, 0x03F0, uint16(p.bench()), 64}, nil)
	if err != nil {
		return Identity{}, err
	}
	return ReadIdentity(r.Data)
}

// Raw gives the row of raw bits: which contacts are closed, whatever the panel makes of them.
func (p *Panel) Raw() ([]byte, error) {
	r, err := p.Back.Control(Setup{0xA1, 1, 0x03F1, uint16(p.bench()), 64}, nil)
	if err != nil {
		return nil, err
	}
	if r.Kind != "data" || len(r.Data) < 2 {
		return nil, fmt.Errorf("no raw bits: %s", r)
	}
	return r.Data[1:], nil
}

// Give sends an output report, its number first where reports have numbers. False when the panel refuses it.
func (p *Panel) Give(report []byte) (bool, error) {
	if len(report) == 0 {
		return false, nil
	}
	id := uint16(0)
	if p.numbered() {
		id = uint16(report[0])
	}
	r, err := p.Back.Control(Setup{0x21, 9, 0x0200 | id, 0, uint16(len(report))}, report)
	return r.Kind == "ack", err
}

// Close ends the panel.
func (p *Panel) Close() error { return p.Back.Close() }
