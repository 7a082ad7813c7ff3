package decode

import (
	"knobwright/internal/hid"
	"knobwright/internal/trade/diagnosis"
)

// Event makes a change of a key or axis event of Linux, for panels that are read through the system's events. The numbers are those that
// the kernel gives the usages of a joystick. Source: Linux, drivers/hid/hid-input.c and include/uapi/linux/input-event-codes.h, from
// memory.
func (m *Mapping) Event(kind, code uint16, value int32) (Change, bool) {
	const evKey, evAbs = 1, 3
	var u hid.Usage
	switch {
	case kind == evKey && code >= 0x120 && code < 0x130: // BTN_JOYSTICK
		u = hid.Usage(uint32(hid.PageButton)<<16 | uint32(code-0x120+1))
	case kind == evKey && code >= 0x130 && code < 0x140: // BTN_GAMEPAD
		u = hid.Usage(uint32(hid.PageButton)<<16 | uint32(code-0x130+1))
	case kind == evKey && code >= 0x2C0 && code < 0x300: // BTN_TRIGGER_HAPPY
		u = hid.Usage(uint32(hid.PageButton)<<16 | uint32(code-0x2C0+17))
	case kind == evAbs && code <= 8: // X, Y, Z, Rx, Ry, Rz, slider, dial, wheel
		u = hid.Usage(uint32(hid.PageDesktop)<<16 | 0x30 | uint32(code))
	default:
		return Change{}, false
	}
	for i, r := range m.rows {
		if r.Lamp || r.Place.Usage != u {
			continue
		}
		if kind == evKey {
			return Change{Row: i, Name: r.Name, On: value != 0}, true
		}
		if a := m.axis[i]; a >= 0 {
			t := m.tab.Axes[a]
			span := float64(t.AtHi) - float64(t.AtLo)
			if span <= 0 {
				return Change{}, false
			}
			return Change{Row: i, Name: r.Name, Axis: true, Part: min(max((float64(value)-float64(t.AtLo))/span, 0), 1)}, true
		}
	}
	return Change{}, false
}

// Apply brings a change into a moment: a contact of a line that has one of its own, or the position of an axis.
func (m *Mapping) Apply(to *diagnosis.Moment, c Change) {
	if a := m.axis[c.Row]; c.Axis {
		if to.Axes == nil {
			to.Axes = make([]uint16, len(m.tab.Axes))
		}
		if a >= 0 && a < len(to.Axes) {
			to.Axes[a] = m.reading(a, c.Part)
		}
		return
	}
	if raw := m.rows[c.Row].Raw; len(raw) == 1 && raw[0]/8 < len(to.Raw) {
		if bit := byte(1) << (raw[0] % 8); c.On {
			to.Raw[raw[0]/8] |= bit
		} else {
			to.Raw[raw[0]/8] &^= bit
		}
	}
}

// Blank is a moment with every contact open; where axes stand is not known.
func (m *Mapping) Blank() diagnosis.Moment { return diagnosis.Moment{Raw: make([]byte, m.raw)} }
