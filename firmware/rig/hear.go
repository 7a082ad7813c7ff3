package rig

import (
	"encoding/hex"
	"fmt"
	"strings"

	"knobwright/internal/hid"
)

// Packet is what a panel gave by one of its endpoints: a report with its number, if it has one, or events of MIDI, four bytes each.
type Packet struct {
	Endpoint int
	MIDI     bool
	Data     []byte
}

// String gives it as in a list of what was heard.
func (p Packet) String() string { return fmt.Sprintf("%d:%X", p.Endpoint, p.Data) }

// Hear lets milliseconds pass, in which the host asks each of the panel's endpoints once each millisecond, but for the bench's: reports of
// the controls, keys of a keyboard of its own, events of MIDI. Run asks the first only.
func (p *Panel) Hear(ms int) ([]Packet, error) {
	ends, err := p.ends()
	if err != nil {
		return nil, err
	}
	return p.Back.Hear(ms, ends...)
}

// ends gives the IN endpoints but the bench's, of which only number and kind are looked at.
func (p *Panel) ends() ([]hid.Endpoint, error) {
	c, err := hid.ParseConfiguration(p.Configuration)
	if err != nil {
		return nil, err
	}
	var out []hid.Endpoint
	for _, x := range c.Interfaces {
		for _, e := range x.Endpoints {
			if e.In && x.Number != int(p.bench()) {
				out = append(out, e)
			}
		}
	}
	return out, nil
}

// Hear does the same for any back end that was enumerated.
func (b *Back) Hear(ms int, ends ...hid.Endpoint) ([]Packet, error) {
	var lines []string
	for range ms {
		lines = append(lines, "run 1000")
		for _, e := range ends {
			lines = append(lines, fmt.Sprintf("in %d", e.Number))
		}
	}
	got, err := b.Ask(lines...)
	if err != nil {
		return nil, err
	}
	var out []Packet
	for i, a := range got {
		text, ok := strings.CutPrefix(a, "data ")
		if !ok {
			continue
		}
		e := ends[i%(1+len(ends))-1]
		data, err := hex.DecodeString(text)
		if err != nil {
			return nil, err
		}
		out = append(out, Packet{Endpoint: e.Number, MIDI: e.Bulk, Data: data})
	}
	return out, nil
}
