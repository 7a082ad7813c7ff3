package firmware

import "encoding/binary"

// Board tells the board layer of the firmware which pin is what, and what the host is told: see board/kwb.h. Pins and channels are the
// chip's own numbers: RP2040 GPIO 0 to 29 and ADC channel 0 to 3; ATmega32U4 8 * port + bit with ports B, C, D, E, F as 0 to 4, and ADC
// channel 0 to 13.
type Board struct {
	Device        []byte         // device descriptor
	Configuration []byte         // configuration descriptor, whole
	HID           map[int][]byte // report descriptor by interface, 0 to 5
	Strings       map[int][]byte // string descriptors by index, 0 to 15, with their two bytes of head
	Endpoints     []Endpoint     //
	Direct        []DirectPin    //
	Matrix        *Matrix        // nil = none
	Chains        []Chain        //
	Expanders     []Expander     //
	Muxes         []Mux          //
	Analog        []Analog       // one for each axis, in order of Table.Axes
	Ladders       []Ladder       //
	Lamps         []LampPin      // lamps on pins of the chip; those of expanders stand there
}

// Endpoint is an endpoint besides 0.
type Endpoint struct {
	Number    uint8
	In        bool
	Interface uint8
	Size      uint8
	Bulk      bool
}

// DirectPin is a pin that reads one contact.
type DirectPin struct {
	Raw    uint8
	Pin    uint8
	PullUp bool
	Often  bool // of an encoder: sampled more often than once a tick
}

// Matrix is rows that are driven low in turn and columns that are read. Raw bits count along the rows.
type Matrix struct {
	Raw           uint8
	Settle        uint8 // us between driving a row and reading the columns
	Rows, Columns []uint8
}

// Chain is a chain of shift-in registers.
type Chain struct {
	Raw, Bits         uint8
	Load, Clock, Data uint8
	Inverted          bool // an input reads 1 while its contact is closed
}

// Expander is 16 lines on I2C.
type Expander struct {
	Raw         uint8
	Address     uint8
	Data, Clock uint8
	Inputs      uint16 // lines that read contacts; the others are outputs
	FirstLamp   uint8  // lamp of the lowest output line, the next ones follow; No = outputs stay low
}

// Mux is an analog multiplexer of eight lines.
type Mux struct {
	Channel uint8
	Select  [3]uint8 // lowest bit first; No from the second on where it has fewer
}

// Analog is where the voltage of an axis comes from.
type Analog struct {
	Axis    uint8
	Channel uint8
	Mux     uint8 // No = directly
	Line    uint8
}

// Ladder is contacts that share a channel: the contact whose limit is the first that the reading does not exceed is closed; above the
// last limit none is.
type Ladder struct {
	Channel uint8
	Raw     uint8
	Limits  []uint16 // rising, 0 to 65535
}

// LampPin is a pin that lights a lamp.
type LampPin struct {
	Pin  uint8
	Lamp uint8
	Low  bool // lit while the pin is low
}

// Sections gives the board's part of a table, for Table.Extra.
func (b Board) Sections() []Section {
	le := binary.LittleEndian
	var out []Section
	blob := func(kind uint8, data []byte) {
		if len(data) > 0 {
			out = append(out, Section{Type: kind, Stride: 1, Count: uint16(len(data)), Data: data})
		}
	}
	list := func(kind, stride uint8, data []byte) {
		if len(data) > 0 {
			out = append(out, Section{Type: kind, Stride: stride, Count: uint16(len(data) / int(stride)), Data: data})
		}
	}
	blob(0x01, b.Device)
	blob(0x02, b.Configuration)
	for i := range 6 {
		blob(0x08+uint8(i), b.HID[i])
	}
	for i := range 16 {
		blob(0x10+uint8(i), b.Strings[i])
	}
	var d []byte
	for _, e := range b.Endpoints {
		n, kind := e.Number, uint8(3)
		if e.In {
			n |= 0x80
		}
		if e.Bulk {
			kind = 2
		}
		d = append(d, n, e.Interface, e.Size, kind)
	}
	list(0x20, 4, d)
	d = nil
	for _, p := range b.Direct {
		d = append(d, p.Raw, p.Pin, flag(p.PullUp, 1)|flag(p.Often, 2), 0)
	}
	list(0x30, 4, d)
	if m := b.Matrix; m != nil {
		list(0x31, 4, []byte{m.Raw, uint8(len(m.Rows)), uint8(len(m.Columns)), m.Settle})
		list(0x32, 1, m.Rows)
		list(0x33, 1, m.Columns)
	}
	d = nil
	for _, c := range b.Chains {
		d = append(d, c.Raw, c.Bits, c.Load, c.Clock, c.Data, flag(c.Inverted, 1))
	}
	list(0x34, 6, d)
	d = nil
	for _, x := range b.Expanders {
		d = append(d, x.Raw, x.Address, x.Data, x.Clock)
		d = append(le.AppendUint16(d, x.Inputs), x.FirstLamp, 0)
	}
	list(0x35, 8, d)
	d = nil
	for _, m := range b.Muxes {
		d = append(d, m.Channel, m.Select[0], m.Select[1], m.Select[2])
	}
	list(0x36, 4, d)
	d = nil
	for _, a := range b.Analog {
		d = append(d, a.Axis, a.Channel, a.Mux, a.Line)
	}
	list(0x37, 4, d)
	var steps []byte
	d = nil
	for _, l := range b.Ladders {
		d = append(d, l.Channel, l.Raw, uint8(len(l.Limits)), uint8(len(steps)/2))
		for _, v := range l.Limits {
			steps = le.AppendUint16(steps, v)
		}
	}
	list(0x38, 4, d)
	list(0x39, 2, steps)
	d = nil
	for _, l := range b.Lamps {
		d = append(d, l.Pin, l.Lamp, flag(l.Low, 1), 0)
	}
	list(0x3A, 4, d)
	return out
}
