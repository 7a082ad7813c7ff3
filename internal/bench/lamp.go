package bench

import (
	"strings"

	"knobwright/internal/hid"
	"knobwright/internal/job"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/firmware"
)

// lampRow is the line of the mapping of a lamp; nil without.
func lampRow(r *job.Result, device string) *firmware.Row {
	for i := range r.Firmware.Rows {
		if x := &r.Firmware.Rows[i]; x.Lamp && x.Name == device {
			return x
		}
	}
	return nil
}

// LampHint says how a person gets a lamp to do what a line of the sheet asks; "" where the bench does it, or nothing is known.
func LampHint(r *job.Result, a diagnosis.Act) string {
	x := lampRow(r, a.Device)
	if x == nil || x.Place.Width > 0 {
		return ""
	}
	switch of := strings.TrimPrefix(x.Sends, "follows "); {
	case x.Sends == "steady" && a.Do == diagnosis.Light:
		return "It is lit as long as the panel is awake."
	case x.Sends == "steady":
		return "It is dark only while the computer sleeps: pass this line over."
	case of == "itself" && a.Do == diagnosis.Light:
		return "It is lit while its button is held."
	case of == "itself":
		return "It is dark while its button is let go."
	case of != x.Sends && a.Do == diagnosis.Light:
		return "It is lit while " + of + " is on."
	case of != x.Sends:
		return "It is dark while " + of + " is off."
	}
	return ""
}

// Light tells a lamp that the computer lights to be lit or dark, and all others of its report to be dark. False for lamps that go by
// something else.
func (l *Live) Light(r *job.Result, device string, on bool) (bool, error) {
	x := lampRow(r, device)
	if x == nil || x.Place.Width == 0 {
		return false, nil
	}
	for _, f := range r.Firmware.Interfaces {
		if f.Means == nil {
			continue
		}
		report := f.Means.Report(hid.Output, uint8(x.Place.Report))
		if report == nil {
			continue
		}
		body := make([]byte, report.Bytes())
		if on && x.Place.Bit/8 < len(body) { // lamps of one report may share a usage: the place tells them apart
			body[x.Place.Bit/8] |= 1 << (x.Place.Bit % 8)
		}
		if f.Means.HasIDs() {
			body = append([]byte{uint8(x.Place.Report)}, body...)
		}
		return true, l.link.Send(f.Number, body)
	}
	return false, nil
}
