// Package device finds panels that are plugged in and talks to them: on Linux through hidraw, or through evdev where hidraw is not open
// to the person. Other systems get a sentence that says where the test works.
package device

import (
	"errors"
	"fmt"
	"strings"

	"knobwright/internal/bench/decode"
)

// Info is a device that is plugged in, with all its interfaces.
type Info struct {
	Name            string
	Serial          string
	Vendor, Product uint16
	Port            string // where it is plugged in; two of a kind differ by it
	Interfaces      []Interface
}

// Interface is one interface of a device.
type Interface struct {
	Number     int
	Node       string // "hidraw3"
	Descriptor []byte // of its reports
	Events     string // "event7", where the system makes key and axis events of it; "" = none
}

// Report is what came from an interface: a report with its number where it has one, or an event of the system.
type Report struct {
	Interface int
	Data      []byte
	Event     *Event
}

// Event is an event of evdev.
type Event struct {
	Type, Code uint16
	Value      int32
}

// Link is a panel that one talks to.
type Link interface {
	// Reports gives what comes, until the panel is unplugged or the link closed; then the channel is closed, and Err says why.
	Reports() <-chan Report
	// Feature asks an interface for a feature report: at most size bytes, number included.
	Feature(number int, id byte, size int) ([]byte, error)
	// Send sends an output report, number first where reports have numbers.
	Send(number int, report []byte) error
	// Err says why no more reports come: ErrGone when the panel was unplugged, nil when the link was closed.
	Err() error
	Close() error
}

// Errors that callers tell apart. Their texts are sentences for the person.
var (
	ErrGone      = errors.New("the panel was unplugged")
	ErrNoFeature = errors.New("the panel is read through the system's key events, which have no raw contacts")
	ErrElsewhere = errors.New("on this system the panel is tested in the page: run knobwright open, and take the bench there; a browser with WebHID or gamepads is what it needs")
)

// DeniedError says that the system does not let this person at the panel.
type DeniedError struct {
	Node string
	Info Info
}

func (e *DeniedError) Error() string {
	return fmt.Sprintf("the system does not let you at %s (%s)", e.Info, e.Node)
}

// Rule is what lets whoever sits at the computer talk to the panel, as a udev rule. It is offered, never installed.
func (e *DeniedError) Rule() string {
	return fmt.Sprintf(`# /etc/udev/rules.d/70-panel.rules
# Whoever sits at this computer may talk to the panel.
KERNEL=="hidraw*", ATTRS{idVendor}=="%04x", ATTRS{idProduct}=="%04x", TAG+="uaccess"
`, e.Info.Vendor, e.Info.Product)
}

// String names a device.
func (i Info) String() string {
	s := strings.TrimSpace(i.Name)
	if s == "" {
		s = "a device without a name"
	}
	s += fmt.Sprintf(" (%04X:%04X", i.Vendor, i.Product)
	if i.Serial != "" {
		s += ", serial " + i.Serial
	}
	return s + ")"
}

// Node is the first node, by which a device is named on the command line.
func (i Info) Node() string {
	if len(i.Interfaces) == 0 {
		return ""
	}
	return i.Interfaces[0].Node
}

// Bench is the number of the interface that our firmware keeps for the bench, -1 without.
func (i Info) Bench(m *decode.Mapping) int {
	for _, x := range i.Interfaces {
		if s, err := m.Stream(x.Descriptor); err == nil && s.Bench() {
			return x.Number
		}
	}
	return -1
}

// Ours tells how surely a device is a panel of this file: 2 when it has our firmware's bench interface, 1 when it has places for at
// least two thirds of what the file sends, 0 when it is a stranger.
func (i Info) Ours(m *decode.Mapping) int {
	if i.Bench(m) >= 0 {
		return 2
	}
	known, all := i.Known(m)
	if all > 0 && 3*known >= 2*all {
		return 1
	}
	return 0
}

// Known counts the things that a file sends which the device has a place for, and all of them.
func (i Info) Known(m *decode.Mapping) (known, all int) {
	for _, x := range i.Interfaces {
		s, err := m.Stream(x.Descriptor)
		if err != nil {
			continue
		}
		k, a := s.Known()
		known, all = max(known, k), max(all, a)
	}
	return known, all
}

// Stranger says why a device that was named cannot be a panel of a file: it has places for less than a third of what the file sends. ""
// when it may be one.
func (i Info) Stranger(m *decode.Mapping, file string) string {
	known, all := i.Known(m)
	if i.Bench(m) >= 0 || 3*known >= all {
		return ""
	}
	return fmt.Sprintf("%s is a stranger to %s: it has a place for %d of the %d things that the file sends", i, file, known, all)
}

// Want says which panel is meant.
type Want struct {
	Serial          string // "" = any
	Node            string // "hidraw3"; "" = any
	Vendor, Product uint16 // 0 = any
}

// Choose picks the panel of a file among what is plugged in. The error is a sentence: nothing is plugged in, only strangers are, or
// several panels are, and how to say which.
func Choose(all []Info, m *decode.Mapping, want Want, file string) (Info, error) {
	if len(all) == 0 {
		return Info{}, fmt.Errorf("no panel is plugged in: the computer sees no device with buttons at all. Is the cable one that carries data, and the firmware on the module?")
	}
	var fit, close []Info
	for _, i := range all {
		if want.Node != "" {
			if has(i, want.Node) {
				if say := i.Stranger(m, file); say != "" {
					return Info{}, errors.New(say)
				}
				return i, nil
			}
			continue
		}
		if want.Serial != "" && i.Serial != want.Serial {
			continue
		}
		switch i.Ours(m) {
		case 2:
			fit = append(fit, i)
		case 1:
			close = append(close, i)
		}
	}
	if want.Node != "" {
		return Info{}, fmt.Errorf("there is no %s. Plugged in: %s", want.Node, list(all))
	}
	if want.Product != 0 { // several panels of ours: those with the file's own numbers first
		var same []Info
		for _, i := range fit {
			if i.Vendor == want.Vendor && i.Product == want.Product {
				same = append(same, i)
			}
		}
		if len(same) > 0 {
			fit = same
		}
	}
	if len(fit) == 0 {
		fit = close
	}
	switch {
	case len(fit) == 1:
		return fit[0], nil
	case len(fit) > 1:
		return Info{}, several(fit)
	case want.Serial != "":
		return Info{}, fmt.Errorf("no panel with the serial %s is plugged in. Plugged in: %s", want.Serial, list(all))
	}
	return Info{}, fmt.Errorf("no panel of %s is plugged in. What is plugged in is strange to it: %s. A device can be named with --device", file, list(all))
}

func has(i Info, node string) bool {
	node = strings.TrimPrefix(node, "/dev/")
	for _, x := range i.Interfaces {
		if x.Node == node {
			return true
		}
	}
	return false
}

func list(all []Info) string {
	var s []string
	for _, i := range all {
		s = append(s, i.String()+" at "+i.Node())
	}
	return strings.Join(s, "; ")
}

func several(fit []Info) error {
	serials := map[string]int{}
	for _, i := range fit {
		serials[i.Serial]++
	}
	var how []string
	for _, i := range fit {
		if i.Serial != "" && serials[i.Serial] == 1 {
			how = append(how, "--serial "+i.Serial)
		} else {
			how = append(how, "--device "+i.Node())
		}
	}
	return fmt.Errorf("%d panels of this kind are plugged in. Say which one is meant: %s", len(fit), strings.Join(how, " or "))
}
