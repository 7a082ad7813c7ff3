package electric

import (
	"fmt"
	"math"

	"knobwright/internal/trust"
)

// PortState says how much a USB 2 port gives.
type PortState string

// The states of a port.
const (
	Waiting    PortState = "before configuration" // from plugging in until the computer has accepted the device
	Configured PortState = "after configuration"  // on a computer or a hub with its own supply
	PoorHub    PortState = "behind a hub that has no supply of its own"
	Asleep     PortState = "while the computer sleeps"
)

// Port is what a USB 2 port gives in a state.
type Port struct {
	State  PortState
	Amp    float64 // most a device may take, A
	Volt   Range   // at the port, V
	Source trust.Source
}

// Ports lists what a USB 2 port gives, by state. A cable takes its share of the voltage: see [CableMetres].
func Ports() []Port {
	full, poor := Range{4.75, 5, 5.25}, Range{4.40, 5, 5.25}
	return []Port{
		{Waiting, 0.1, full, seen("USB 2.0, 7.2.1")},
		{Configured, 0.5, full, seen("USB 2.0, 7.2.1 and table 7-7")},
		{PoorHub, 0.1, poor, memory("USB 2.0, 7.2.1.1 and 7.2.2", trust.High)},
		{Asleep, 2.5e-3, full, seen("USB 2.0 as amended")},
	}
}

// PortIn is the port in a state; false for an unknown state.
func PortIn(state PortState) (Port, bool) {
	for _, p := range Ports() {
		if p.State == state {
			return p, true
		}
	}
	return Port{}, false
}

// Left is what remains of the port's current when so many A are taken; negative when that is too much.
func (p Port) Left(amp float64) float64 { return p.Amp - amp }

// DeviceSource stands for [UnitLoad], [MostFarad] and [MaxPower].
var DeviceSource = memory("USB 2.0, 7.2.1, 7.2.4.1 and 9.6.3", trust.High)

// Other limits of a USB 2 device.
const (
	// UnitLoad is the step in which hubs count, A (USB 2.0, 7.2.1).
	UnitLoad = 0.1
	// MostFarad is the capacitance that a device may put across the supply at once, F (USB 2.0, 7.2.4.1, from memory).
	MostFarad = 10e-6
)

// MaxPower is the byte bMaxPower of a configuration descriptor for so many A, in units of 2 mA, rounded up (USB 2.0, 9.6.3, from
// memory). Above 0.5 A, or below 0, it is an error: no port gives that.
func MaxPower(amp float64) (byte, error) {
	if err := within("current from the port", "A", amp, 0, 0.5); err != nil {
		return 0, fmt.Errorf("%w: a USB port gives no more than 500 mA", err)
	}
	return byte(math.Ceil(amp*500 - 1e-9)), nil
}

// CableSource stands for [CableMetres].
var CableSource = seen("USB 2.0, table of cable lengths by gauge of the power pair")

// CableMetres is the longest cable with a power pair of a gauge, m; false for gauges that the table does not have.
func CableMetres(g AWG) (float64, bool) {
	switch g {
	case 28:
		return 0.81, true
	case 26:
		return 1.31, true
	case 24:
		return 2.08, true
	case 22:
		return 3.33, true
	case 20:
		return 5, true
	}
	return 0, false
}
