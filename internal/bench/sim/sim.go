// Package sim is a panel that is not there: it takes a job and a list of faults, wires the panel up as the faults say, and shows what
// its module would see while a person presses, turns, slides and measures. It judges nothing. It shares no logic with package
// diagnosis, so that one can be held against the other: here currents flow through wires, contacts, tracks, diodes and pull-ups, and
// what a pin reads follows from its voltage.
//
// What is modelled, and how:
//
//   - Every wire of the harness joins its two ends; a fault takes ends off, moves them, or joins what must not be joined.
//   - Contacts close with a bounce; the quarters of an encoder come one after the other; toggles leave one contact before they meet
//     the next one.
//   - The module reads its pins as its table says: direct pins, the rows of a matrix one after the other, expanders if they have
//     a supply, a ground and both lines of the bus, shift-in chains bit by bit, multiplexers line by line, ladders by their limits.
//   - A pin that nothing holds picks up the hum of the mains: it flips every 10 ms. An analog pin that nothing holds wanders.
//   - The meter puts 1 V through 10 kohm on its probes when it measures ohms, and is 10 Mohm when it measures volts.
//
// Moments are looked at once a millisecond, as the bench asks a real panel.
package sim

import (
	"errors"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

// Panel is a simulated panel. It keeps where its controls stand from act to act. It is not for concurrent use; panels made from the
// same job may be used side by side.
type Panel struct {
	job    *job.Result
	faults []diagnosis.Fault
	table  *table
	net    *network
	sound  *network // the same without faults: how bright a lamp is when all is right
	where  state
	dead   bool   // its supply is shorted: the computer does not find it
	crc    uint32 // of the table in the module
	bytes  []byte // that table
	calls  int    // acts so far: hum and noise go on
	bounce map[string]float64
	jitter map[string]float64
	clicks map[string]float64 // Detents faults, by device
}

// ErrNoTable says that the job gives no table: without a module, and without a plan of its pins, nothing can be simulated.
var ErrNoTable = errors.New("the file names no module, or not every lead has a pin: there is nothing to simulate yet")

// New wires a panel with faults. The error is ErrNoTable, or says which fault names a place that the panel has not.
func New(r *job.Result, faults ...diagnosis.Fault) (*Panel, error) {
	if len(r.Firmware.Bytes) == 0 {
		return nil, ErrNoTable
	}
	t, err := readTable(r.Firmware.Bytes)
	if err != nil {
		return nil, err
	}
	p := &Panel{
		job: r, faults: faults, table: t, crc: t.crc, bytes: r.Firmware.Bytes,
		bounce: map[string]float64{}, jitter: map[string]float64{}, clicks: map[string]float64{},
	}
	if p.sound, err = build(r, t, nil); err != nil {
		return nil, err
	}
	p.net = p.sound
	if len(faults) > 0 {
		if p.net, err = build(r, t, faults); err != nil {
			return nil, err
		}
	}
	for _, f := range faults {
		switch f.Kind {
		case diagnosis.WrongTable:
			if b := foreign(r.Firmware.Bytes); b != nil {
				if p.table, err = readTable(b); err != nil {
					return nil, err
				}
				p.bytes, p.crc = b, p.table.crc
			}
		case diagnosis.Bounces:
			p.bounce[f.Device] = f.Value
		case diagnosis.Noisy:
			p.jitter[f.Device] = f.Value
		case diagnosis.Detents:
			p.clicks[f.Device] = f.Value
		}
	}
	p.where = atRest(r)
	p.dead = p.net.shorted()
	return p, nil
}

// Dead reports whether the panel does not come up at all: its supply is shorted, and the port switches off.
func (p *Panel) Dead() bool { return p.dead }

// Table is the checksum of the table in the module.
func (p *Panel) Table() uint32 { return p.crc }

// state is where everything stands.
type state struct {
	at    map[string]string  // position, by control
	held  map[string]bool    // devices that a finger holds down
	turn  map[string]float64 // track, by device: 0 low end, 1 high end
	phase map[string]int     // encoder, by device: 0 to 3 in the order none, A, both, B
	lit   map[int]bool       // lamps that are driven, by signal
	jump  map[string]float64 // what crackles at this moment, by device
	dark  map[string]bool    // a contact of this control that is on its way between two positions
	open  map[contactID]bool // contacts that bounce: for the moment not as their position says
}

type contactID struct {
	control string
	n       int
}

func atRest(r *job.Result) state {
	s := state{
		at: map[string]string{}, held: map[string]bool{}, turn: map[string]float64{}, phase: map[string]int{}, lit: map[int]bool{},
		jump: map[string]float64{}, dark: map[string]bool{}, open: map[contactID]bool{},
	}
	for _, d := range r.Wiring.Devices {
		if ps := d.Control.Part.Circuit.Positions; len(ps) > 0 {
			s.at[d.Control.Name] = ps[0]
		}
		if d.Kind == wiring.DevTrack {
			s.turn[d.ID] = 0.5
		}
	}
	return s
}

// device finds a device of the job by its ID; nil without.
func device(r *job.Result, id string) *wiring.Device {
	for i := range r.Wiring.Devices {
		if r.Wiring.Devices[i].ID == id {
			return &r.Wiring.Devices[i]
		}
	}
	return nil
}

// boardOf finds a board by its name; nil without, or without a record.
func boardOf(r *job.Result, name string) *catalog.Board {
	for i := range r.Wiring.Boards {
		if r.Wiring.Boards[i].Name == name {
			return r.Wiring.Boards[i].Part.Board
		}
	}
	return nil
}

// circuitOf gives the circuit of a control.
func circuitOf(c *panel.Control) *catalog.Circuit { return &c.Part.Circuit }
