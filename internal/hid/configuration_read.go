package hid

import (
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// configurationReader reads one descriptor after the other.
type configurationReader struct {
	c       Configuration
	now     *Interface // the interface that is being read
	alt     bool       // it is another setting of one: passed over
	ends    int        // that it says it has
	headers int        // class-specific ones that it has had
	last    *Endpoint
	jacked  bool // the last endpoint has had its own
	used    map[byte]bool
}

// ParseConfiguration reads a configuration descriptor, whole. Descriptors of a kind that it does not know are passed over. What cannot be
// right is an error in a sentence: lengths that do not add up, endpoints that stand twice, jacks that are fed by none, a stream without its
// control. Whatever the bytes, it does not panic.
func ParseConfiguration(b []byte) (Configuration, error) {
	if len(b) < 9 || b[0] < 9 || b[1] != kindConfiguration {
		return Configuration{}, errors.New("it is no configuration descriptor")
	}
	if n := int(binary.LittleEndian.Uint16(b[2:])); n != len(b) {
		return Configuration{}, fmt.Errorf("the configuration says that it has %d bytes; there are %d", n, len(b))
	}
	if b[7]&0x80 == 0 {
		return Configuration{}, errors.New("the configuration's flags lack the bit that is always set")
	}
	r := &configurationReader{c: Configuration{MilliAmp: 2 * int(b[8]), Wakes: b[7]&0x20 != 0}, used: map[byte]bool{}}
	for at := int(b[0]); at < len(b); {
		n := int(b[at])
		if n < 2 || n > len(b)-at {
			return r.c, fmt.Errorf("the descriptor at byte %d has a length of %d", at, n)
		}
		if err := r.descriptor(b[at:at+n], b[at:]); err != nil {
			return r.c, fmt.Errorf("the descriptor at byte %d: %w", at, err)
		}
		at += n
	}
	if err := r.closeInterface(); err != nil {
		return r.c, err
	}
	if got := len(r.c.Interfaces); got != int(b[4]) {
		return r.c, fmt.Errorf("the configuration says that it has %d interfaces; there are %d", b[4], got)
	}
	return r.c, r.check()
}

func (r *configurationReader) descriptor(d, rest []byte) error {
	short := func(n int) error { return fmt.Errorf("it has %d bytes; its kind has %d", len(d), n) }
	switch d[1] {
	case kindInterface:
		if len(d) < 9 {
			return short(9)
		}
		if err := r.closeInterface(); err != nil {
			return err
		}
		r.alt = d[3] != 0
		if r.alt {
			return nil
		}
		r.now, r.ends, r.headers = &Interface{Number: int(d[2]), Class: d[5], Subclass: d[6], Protocol: d[7]}, int(d[4]), 0
		return nil
	case kindEndpoint:
		least := 7
		if r.now != nil && r.now.Class == ClassAudio {
			least = 9
		}
		if len(d) < least {
			return short(least)
		}
		return r.endpoint(d)
	}
	if r.now == nil {
		return nil
	}
	switch {
	case d[1] == kindHID && r.now.Class == ClassHID:
		if len(d) < 9 || d[6] != kindReport {
			return errors.New("it does not begin with a report descriptor's length")
		}
		r.headers++
		r.now.Report = int(binary.LittleEndian.Uint16(d[7:]))
	case d[1] == kindCSInterface && r.now.Class == ClassAudio:
		return r.audio(d, rest)
	case d[1] == kindCSEndpoint && r.now.streams():
		return r.endpointJacks(d)
	}
	return nil
}

func (r *configurationReader) endpoint(d []byte) error {
	if r.now == nil {
		if r.alt {
			return nil
		}
		return errors.New("an endpoint of no interface")
	}
	e := Endpoint{Number: int(d[2] & 0x0F), In: d[2]&0x80 != 0, Bulk: d[3]&3 == 2, Size: int(binary.LittleEndian.Uint16(d[4:])), Interval: int(d[6])}
	switch {
	case d[2]&0x70 != 0 || e.Number == 0:
		return fmt.Errorf("endpoint address 0x%02X cannot be", d[2])
	case d[3]&3 < 2:
		return errors.New("an endpoint that is neither of bulk nor of interrupt transfers")
	case e.Size == 0 || e.Size > 64:
		return fmt.Errorf("packets of %d bytes; 1 to 64 can be at full speed", e.Size)
	case !e.Bulk && e.Interval == 0:
		return errors.New("an interrupt endpoint without an interval")
	case e.Bulk && !slices.Contains([]int{8, 16, 32, 64}, e.Size):
		return fmt.Errorf("bulk packets of %d bytes; 8, 16, 32 and 64 can be", e.Size)
	case r.used[d[2]]:
		return fmt.Errorf("endpoint 0x%02X stands twice", d[2])
	}
	r.used[d[2]] = true
	r.now.Endpoints = append(r.now.Endpoints, e)
	r.last, r.jacked = &r.now.Endpoints[len(r.now.Endpoints)-1], false
	return nil
}

// audio reads what belongs to audio control and to MIDI streaming. rest is all from here on.
func (r *configurationReader) audio(d, rest []byte) error {
	if len(d) < 3 {
		return errors.New("it is too short to say what it is")
	}
	x := r.now
	switch {
	case x.Subclass == SubclassControl && d[2] == subHeader:
		if len(d) < 8 || len(d) != 8+int(d[7]) {
			return errors.New("the header of audio control does not list as many interfaces as it says")
		}
		r.headers++
		for _, n := range d[8:] {
			x.Streams = append(x.Streams, int(n))
		}
	case x.streams() && d[2] == subHeader:
		if len(d) < 7 {
			return errors.New("the header of MIDI streaming is too short")
		}
		r.headers++
		if total := int(binary.LittleEndian.Uint16(d[5:])); total != lengthOf(rest) {
			return fmt.Errorf("the header of MIDI streaming speaks of %d bytes; there are %d", total, lengthOf(rest))
		}
	case x.streams() && d[2] == subInJack:
		if len(d) < 6 {
			return errors.New("a jack that is too short")
		}
		x.Jacks = append(x.Jacks, Jack{ID: int(d[4]), External: d[3] == external})
	case x.streams() && d[2] == subOutJack:
		if len(d) < 7 || len(d) != 7+2*int(d[5]) {
			return errors.New("a jack does not list as many others as it says")
		}
		j := Jack{ID: int(d[4]), Out: true, External: d[3] == external}
		for i := range int(d[5]) {
			j.From = append(j.From, int(d[6+2*i]))
		}
		x.Jacks = append(x.Jacks, j)
	}
	if x.streams() && (d[2] == subInJack || d[2] == subOutJack) && d[3] != embedded && d[3] != external {
		return errors.New("a jack that is neither embedded nor external")
	}
	return nil
}

// lengthOf counts what belongs to a MIDI streaming interface, from its header on: to the next interface.
func lengthOf(b []byte) int {
	at := 0
	for at < len(b) && b[at] >= 2 && int(b[at]) <= len(b)-at && b[at+1] != kindInterface {
		at += int(b[at])
	}
	return at
}

func (r *configurationReader) endpointJacks(d []byte) error {
	if r.last == nil || r.jacked {
		return errors.New("jacks of no endpoint")
	}
	if len(d) < 4 || len(d) != 4+int(d[3]) || d[2] != subGeneral {
		return errors.New("an endpoint does not list as many jacks as it says")
	}
	r.jacked = true
	for _, j := range d[4:] {
		r.last.Jacks = append(r.last.Jacks, int(j))
	}
	return nil
}

// closeInterface ends an interface and looks whether it is whole.
func (r *configurationReader) closeInterface() error {
	x := r.now
	r.now, r.last = nil, nil
	if x == nil {
		return nil
	}
	if len(x.Endpoints) != r.ends {
		return fmt.Errorf("interface %d says that it has %s; there are %d", x.Number, plural(r.ends, "endpoint"), len(x.Endpoints))
	}
	if slices.ContainsFunc(r.c.Interfaces, func(y Interface) bool { return y.Number == x.Number }) {
		return fmt.Errorf("interface %d stands twice", x.Number)
	}
	if r.headers != 1 && (x.Class == ClassHID || x.Class == ClassAudio && (x.Subclass == SubclassControl || x.streams())) {
		return fmt.Errorf("interface %d has %s of its class", x.Number, plural(r.headers, "header"))
	}
	r.c.Interfaces = append(r.c.Interfaces, *x)
	return x.checkJacks()
}

// checkJacks looks whether jacks and endpoints lead to one another.
func (x *Interface) checkJacks() error {
	find := func(id int) *Jack {
		for i := range x.Jacks {
			if x.Jacks[i].ID == id {
				return &x.Jacks[i]
			}
		}
		return nil
	}
	for i := range x.Jacks {
		j := &x.Jacks[i]
		if j.ID == 0 || find(j.ID) != j {
			return fmt.Errorf("jack %d of interface %d stands twice, or has no number", j.ID, x.Number)
		}
		for _, f := range j.From {
			if y := find(f); y == nil || y.Out {
				return fmt.Errorf("jack %d is fed by %d, which is no jack that brings something", j.ID, f)
			}
		}
	}
	for _, e := range x.Endpoints {
		for _, id := range e.Jacks {
			if j := find(id); j == nil || j.External || j.Out != e.In {
				return fmt.Errorf("endpoint %d of interface %d leads to jack %d, which is none for it", e.Number, x.Number, id)
			}
		}
	}
	return nil
}

// check looks whether interfaces belong together: each MIDI stream to one audio control, and numbers from 0 on.
func (r *configurationReader) check() error {
	control := map[int]int{}
	for i, x := range r.c.Interfaces {
		if x.Number != i {
			return fmt.Errorf("interface %d stands where %d belongs", x.Number, i)
		}
		for _, s := range x.Streams {
			control[s]++
		}
	}
	for _, x := range r.c.Interfaces {
		if x.streams() && control[x.Number] != 1 {
			return fmt.Errorf("interface %d streams MIDI and belongs to %s of audio", x.Number, plural(control[x.Number], "control"))
		}
		for _, s := range x.Streams {
			if s >= len(r.c.Interfaces) {
				return fmt.Errorf("a control of audio speaks of interface %d, which is not there", s)
			}
		}
	}
	return nil
}
