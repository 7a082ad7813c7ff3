package hid

import (
	"bytes"
	"encoding/binary"
)

// device is one HID device on a recorded bus.
type device struct {
	desc    []byte
	reports [][]byte // as sent
}

// capture writes a recording of a USB bus as packet analysers read it: each device, of one HID interface, is asked for its
// configuration and its report descriptor, and then sends reports. The format is that of pcap, link type 220 (Linux usbmon with a
// header of 64 bytes, lowest byte first).
func capture(devices []device) []byte {
	var out bytes.Buffer
	put := func(v any) { _ = binary.Write(&out, binary.LittleEndian, v) }
	put(uint32(0xA1B2C3D4))
	put([4]uint16{2, 4, 0, 0})
	put([3]uint32{0, 65535, 220})
	urb := uint64(0)
	for i, d := range devices {
		d.record(&out, byte(i+1), &urb)
	}
	return out.Bytes()
}

func (d device) record(out *bytes.Buffer, number byte, urb *uint64) {
	packet := func(event, kind, endpoint byte, setup, data []byte, length int) {
		var p bytes.Buffer
		put := func(v any) { _ = binary.Write(&p, binary.LittleEndian, v) }
		put(*urb)
		put([4]byte{event, kind, endpoint, number})
		put(uint16(1))
		flags := [2]byte{'-', '<'}
		if setup != nil {
			flags[0] = 0
		}
		if data != nil {
			flags[1] = 0
		}
		put(flags)
		put(int64(*urb))
		put([2]int32{0, 0})
		put([2]uint32{uint32(length), uint32(len(data))})
		put(append(append([]byte{}, setup...), make([]byte, 8-len(setup))...))
		put([4]uint32{})
		p.Write(data)
		put2 := func(v any) { _ = binary.Write(out, binary.LittleEndian, v) }
		put2([4]uint32{uint32(*urb), 0, uint32(p.Len()), uint32(p.Len())})
		out.Write(p.Bytes())
	}
	control := func(setup, answer []byte) {
		*urb++
		packet('S', 2, 0x80, setup, nil, len(answer))
		packet('C', 2, 0x80, nil, answer, len(answer))
	}
	n := len(d.desc)
	config := []byte{
		9, 2, 34, 0, 1, 1, 0, 0x80, 50, // configuration
		9, 4, 0, 0, 1, 3, 0, 0, 0, // interface of class HID
		9, 0x21, 0x11, 1, 0, 1, 0x22, byte(n), byte(n >> 8), // HID
		7, 5, 0x81, 3, 64, 0, 1, // endpoint
	}
	itself := []byte{18, 1, 0, 2, 0, 0, 0, 64, 0x34, 0x12, 0x78, 0x56, 0, 1, 0, 0, 0, 1}
	control([]byte{0x80, 6, 0, 1, 0, 0, 18, 0}, itself)
	control([]byte{0x80, 6, 0, 2, 0, 0, 34, 0}, config)
	control([]byte{0x81, 6, 0, 0x22, 0, 0, byte(n), byte(n >> 8)}, d.desc)
	for _, r := range d.reports {
		*urb++
		packet('S', 1, 0x81, nil, nil, 64)
		packet('C', 1, 0x81, nil, r, len(r))
	}
}
