package hid

import (
	"encoding/binary"
	"errors"
	"fmt"
	"reflect"
)

// Configuration is what a host is told of a device after its first 18 bytes: its interfaces and their endpoints. Those of HID and of
// USB-MIDI are known in full; of others only that they are there. Sources: USB 2.0, 9.6; HID 1.11, 6.2.1; USB Device Class Definition for
// MIDI Devices 1.0, 6 and Appendix B; for Audio Devices 1.0, 4.3.
type Configuration struct {
	MilliAmp   int  // that it asks of the port; even, 0 to 500
	Wakes      bool // it may wake the host
	Interfaces []Interface
}

// Interface is one function of a device, by its number.
type Interface struct {
	Number                    int
	Class, Subclass, Protocol uint8
	Report                    int    // HID: length of the report descriptor, bytes
	Streams                   []int  // audio control: the interfaces of its collection
	Jacks                     []Jack // MIDI streaming
	Endpoints                 []Endpoint
}

// Endpoint is one way to or from the host.
type Endpoint struct {
	Number   int  // 1 to 15
	In       bool // to the host
	Bulk     bool // else interrupt
	Size     int  // of a packet, bytes
	Interval int  // ms between two polls, 1 to 255; 0 of a bulk endpoint
	Jacks    []int
}

// Jack is a plug of MIDI: an embedded one leads to an endpoint, an external one to the outside. In and out are as the device's works see
// it: what comes in at an embedded jack came from the host.
type Jack struct {
	ID       int
	Out      bool
	External bool
	From     []int // of an out jack: the jacks that feed it
}

// Classes of interfaces.
const (
	ClassAudio = 0x01
	ClassHID   = 0x03

	SubclassControl   = 0x01 // of audio
	SubclassStreaming = 0x03 // MIDI, of audio
	SubclassBoot      = 0x01 // of HID
	ProtocolKeyboard  = 0x01 // of a boot interface
)

// Kinds of descriptors.
const (
	kindConfiguration = 2
	kindInterface     = 4
	kindEndpoint      = 5
	kindHID           = 0x21
	kindReport        = 0x22
	kindCSInterface   = 0x24
	kindCSEndpoint    = 0x25
)

// Kinds of class-specific descriptors.
const (
	subHeader  = 1
	subInJack  = 2
	subOutJack = 3
	subGeneral = 1 // of an endpoint

	embedded = 1
	external = 2
)

// HIDInterface is an interface of HID with one IN endpoint, and perhaps more. boot says that it is a keyboard that firmware menus
// understand.
func HIDInterface(number, report int, boot bool, ends ...Endpoint) Interface {
	x := Interface{Number: number, Class: ClassHID, Report: report, Endpoints: ends}
	if boot {
		x.Subclass, x.Protocol = SubclassBoot, ProtocolKeyboard
	}
	return x
}

// MIDIInterfaces are the two interfaces of a device with one MIDI plug each way: audio control, and MIDI streaming after it. The jacks are
// those of the standard's example.
func MIDIInterfaces(number, out, in int) []Interface {
	const packet = 64
	return []Interface{
		{Number: number, Class: ClassAudio, Subclass: SubclassControl, Streams: []int{number + 1}},
		{
			Number: number + 1, Class: ClassAudio, Subclass: SubclassStreaming,
			Jacks: []Jack{
				{ID: 1}, {ID: 2, External: true}, {ID: 3, Out: true, From: []int{2}}, {ID: 4, Out: true, External: true, From: []int{1}},
			},
			Endpoints: []Endpoint{{Number: out, Bulk: true, Size: packet, Jacks: []int{1}}, {Number: in, In: true, Bulk: true, Size: packet, Jacks: []int{3}}},
		},
	}
}

// Bytes writes the configuration, reads it back and compares.
func (c Configuration) Bytes() ([]byte, error) {
	const byBus, wakes = 0x80, 0x20
	flags := byte(byBus)
	if c.Wakes {
		flags |= wakes
	}
	b := []byte{9, kindConfiguration, 0, 0, byte(len(c.Interfaces)), 1, 0, flags, byte(c.MilliAmp / 2)}
	for _, x := range c.Interfaces {
		b = x.append(b)
	}
	if len(b) > 0xFFFF {
		return nil, errors.New("the configuration has more than 65535 bytes")
	}
	binary.LittleEndian.PutUint16(b[2:], uint16(len(b)))
	back, err := ParseConfiguration(b)
	if err != nil {
		return nil, err
	}
	if !reflect.DeepEqual(back, c.plain()) {
		return nil, fmt.Errorf("the configuration reads back as %+v; %+v was written", back, c)
	}
	return b, nil
}

// plain has nil for lists that are empty, as a reader makes them.
func (c Configuration) plain() Configuration {
	list := c.Interfaces
	c.Interfaces = nil
	for _, x := range list {
		x.Streams, x.Jacks = append([]int(nil), x.Streams...), append([]Jack(nil), x.Jacks...)
		for i := range x.Jacks {
			x.Jacks[i].From = append([]int(nil), x.Jacks[i].From...)
		}
		x.Endpoints = append([]Endpoint(nil), x.Endpoints...)
		for i := range x.Endpoints {
			x.Endpoints[i].Jacks = append([]int(nil), x.Endpoints[i].Jacks...)
		}
		c.Interfaces = append(c.Interfaces, x)
	}
	return c
}

func (x Interface) append(b []byte) []byte {
	le := binary.LittleEndian
	b = append(b, 9, kindInterface, byte(x.Number), 0, byte(len(x.Endpoints)), x.Class, x.Subclass, x.Protocol, 0)
	switch {
	case x.Class == ClassHID:
		b = append(b, 9, kindHID, 0x11, 0x01, 0, 1, kindReport)
		b = le.AppendUint16(b, uint16(x.Report))
	case x.Class == ClassAudio && x.Subclass == SubclassControl:
		n := 8 + len(x.Streams)
		b = append(b, byte(n), kindCSInterface, subHeader, 0x00, 0x01)
		b = append(le.AppendUint16(b, uint16(n)), byte(len(x.Streams)))
		for _, s := range x.Streams {
			b = append(b, byte(s))
		}
	case x.streams():
		return x.appendStreaming(b)
	}
	for _, e := range x.Endpoints {
		b = append(b, 7, kindEndpoint, e.address(), e.attributes())
		b = append(le.AppendUint16(b, uint16(e.Size)), byte(e.Interval))
	}
	return b
}

func (x Interface) streams() bool {
	return x.Class == ClassAudio && x.Subclass == SubclassStreaming
}

// appendStreaming writes what follows a MIDI streaming interface. The total in its header counts the endpoints too, as in the standard's
// example. Endpoints of audio are two bytes longer than others.
func (x Interface) appendStreaming(b []byte) []byte {
	le := binary.LittleEndian
	var body []byte
	for _, j := range x.Jacks {
		kind := byte(embedded)
		if j.External {
			kind = external
		}
		if !j.Out {
			body = append(body, 6, kindCSInterface, subInJack, kind, byte(j.ID), 0)
			continue
		}
		body = append(body, byte(7+2*len(j.From)), kindCSInterface, subOutJack, kind, byte(j.ID), byte(len(j.From)))
		for _, f := range j.From {
			body = append(body, byte(f), 1)
		}
		body = append(body, 0)
	}
	for _, e := range x.Endpoints {
		body = append(body, 9, kindEndpoint, e.address(), e.attributes())
		body = append(le.AppendUint16(body, uint16(e.Size)), byte(e.Interval), 0, 0)
		body = append(body, byte(4+len(e.Jacks)), kindCSEndpoint, subGeneral, byte(len(e.Jacks)))
		for _, j := range e.Jacks {
			body = append(body, byte(j))
		}
	}
	b = append(b, 7, kindCSInterface, subHeader, 0x00, 0x01)
	return append(le.AppendUint16(b, uint16(7+len(body))), body...)
}

func (e Endpoint) address() byte {
	if e.In {
		return byte(e.Number) | 0x80
	}
	return byte(e.Number)
}

func (e Endpoint) attributes() byte {
	if e.Bulk {
		return 2
	}
	return 3
}
