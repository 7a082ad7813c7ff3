package rig

import (
	"encoding/hex"
	"fmt"
	"strings"
)

// Reply is the answer to a transfer or a token: "data", "ack", "nak", "stall", or "timeout" when nobody answered.
type Reply struct {
	Kind string
	Data []byte
}

// String gives it as in a table of results.
func (r Reply) String() string {
	if r.Kind == "data" {
		return fmt.Sprintf("data %X", r.Data)
	}
	return r.Kind
}

func readReply(line string) (Reply, error) {
	kind, text, _ := strings.Cut(line, " ")
	switch kind {
	case "data":
		b, err := hex.DecodeString(text)
		return Reply{kind, b}, err
	case "ack", "nak", "stall", "timeout":
		return Reply{Kind: kind}, nil
	}
	return Reply{}, fmt.Errorf("answer %q", line)
}

func (b *Back) reply(format string, args ...any) (Reply, error) {
	got, err := b.Ask(strings.TrimRight(fmt.Sprintf(format, args...), " "))
	if err != nil {
		return Reply{}, err
	}
	return readReply(got[0])
}

// Setup is a setup packet: a request of the host. Source: USB 2.0, 9.3.
type Setup struct {
	Type, Request        uint8
	Value, Index, Length uint16
}

// Bytes gives it as it stands on the bus.
func (s Setup) Bytes() []byte {
	return []byte{s.Type, s.Request, byte(s.Value), byte(s.Value >> 8), byte(s.Index), byte(s.Index >> 8), byte(s.Length), byte(s.Length >> 8)}
}

// Control does a control transfer.
func (b *Back) Control(s Setup, data []byte) (Reply, error) {
	return b.reply("setup %X %X", s.Bytes(), data)
}

// In sends one IN token.
func (b *Back) In(endpoint int) (Reply, error) { return b.reply("in %d", endpoint) }

// Out sends one OUT token with data.
func (b *Back) Out(endpoint int, data []byte) (Reply, error) {
	return b.reply("out %d %X", endpoint, data)
}

// Run lets time pass, in microseconds.
func (b *Back) Run(us int) error {
	_, err := b.Ask(fmt.Sprintf("run %d", us))
	return err
}

// Enumerate does what a host does with a device that was plugged in: reset, address, descriptors, configuration. It gives the device's
// descriptors.
func (b *Back) Enumerate(address uint8) (device, configuration []byte, err error) {
	if _, err := b.Ask("reset"); err != nil {
		return nil, nil, err
	}
	want := func(kind string, s Setup) []byte {
		if err != nil {
			return nil
		}
		var r Reply
		if r, err = b.Control(s, nil); err == nil && r.Kind != kind {
			err = fmt.Errorf("request %X: %s", s.Bytes(), r)
		}
		return r.Data
	}
	want("data", Setup{0x80, 6, 0x0100, 0, 64})
	want("ack", Setup{0x00, 5, uint16(address), 0, 0})
	if err != nil {
		return nil, nil, err
	}
	if _, err = b.Ask(fmt.Sprintf("address %d", address), "run 2000"); err != nil {
		return nil, nil, err
	}
	device = want("data", Setup{0x80, 6, 0x0100, 0, 18})
	configuration = want("data", Setup{0x80, 6, 0x0200, 0, 9})
	if len(configuration) >= 4 {
		configuration = want("data", Setup{0x80, 6, 0x0200, 0, uint16(configuration[2]) | uint16(configuration[3])<<8})
	}
	want("ack", Setup{0x00, 9, 1, 0, 0})
	return device, configuration, err
}
