package packet

import (
	"fmt"
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/trade/firmware"
)

// firmwarePapers adds what the panel sends: the mapping table on paper and for a spreadsheet, the image, and how it gets onto the module.
func firmwarePapers(r *job.Result, d desk, pdf func(name, about string, doc *drawing.Document), add func(name, about string, data []byte, err error)) {
	f := &r.Firmware
	if len(f.Rows) == 0 {
		return
	}
	pdf("mapping.pdf", "what each control sends, the lamps, putting the image on the module", mappingBook(r, d))
	data, err := table(mappingRows(f))
	add("mapping.csv", "the mapping for a spreadsheet", data, err)
	if len(f.Image.Data) > 0 {
		add(f.Image.Name, "the image for the module", f.Image.Data, nil)
		add("flashing.txt", "how to put it on the module, and what it does", []byte(flashingText(r)), nil)
	}
}

// mappingRows is the mapping table as a list.
func mappingRows(f *firmware.Result) [][]string {
	rows := [][]string{{"control", "name", "sends", "how", "number", "board", "pin", "raw_bits", "report", "report_bit", "width", "usage", "legend"}}
	for _, x := range f.Rows {
		var raw []string
		for _, b := range x.Raw {
			raw = append(raw, strconv.Itoa(b))
		}
		number, report, bit, width, usage := "written", "", "", "", ""
		if x.Auto {
			number = "given"
		}
		if x.Place.Width > 0 {
			report, bit, width, usage = strconv.Itoa(x.Place.Report), strconv.Itoa(x.Place.Bit), strconv.Itoa(x.Place.Width), x.Place.Usage.String()
		}
		rows = append(rows, []string{x.Control.Name, x.Name, x.Sends, x.How, number, x.Board, x.Pin, strings.Join(raw, " "), report, bit, width, usage, x.Legend})
	}
	return rows
}

// mappingBook is what the bench and the person at the computer read.
func mappingBook(r *job.Result, d desk) *drawing.Document {
	f := &r.Firmware
	doc := &drawing.Document{Title: "Mapping: " + joinTitle(d), Subject: "what each control sends, lamps, putting the image on the module"}
	page := func(name, say string, set func(l *lister)) {
		l := d.list(sheet{name: name, use: say, cells: []cell{d.panelCell()}})
		set(l)
		doc.Pages = append(doc.Pages, l.done()...)
	}
	var controls, lamps []row
	for _, x := range f.Rows {
		at := x.Pin
		if x.Board != "" && x.Board != "module" {
			at = x.Board + " " + at
		}
		if at == "" {
			at = "no pin yet"
		}
		place := ""
		if x.Place.Width > 0 {
			place = fmt.Sprintf("%d.%d", x.Place.Report, x.Place.Bit)
		}
		sends := x.Sends
		if x.Auto {
			sends += " *"
		}
		if x.Lamp {
			lamps = append(lamps, row{x.Label, x.Sends, x.How, at})
			continue
		}
		controls = append(controls, row{"x", x.Label, sends, x.How, at, place})
	}
	page("Mapping", "What each control sends. Tick each one off when you have seen it on the computer.", func(l *lister) {
		if len(controls) == 0 {
			l.para("No control of this panel sends anything.", false)
			return
		}
		l.table([]column{
			{w: 7, tick: true}, {head: "control", w: 44, bold: true}, {head: "sends", w: 36}, {head: "how", small: true, quiet: true}, {head: "pin", w: 32, small: true}, {head: "report", w: 15, quiet: true, small: true},
		}, controls)
		if len(f.Given) > 0 {
			l.para("* This number comes from the order of the file. knobwright fix numbers writes it down, so that it stays whatever is added.", true)
		}
		l.para("Report 1.4 is bit 4 of report 1, counted from 0; 1 is the joystick, 2 the keyboard, 3 media keys, 4 system keys, 5 lamps lit by the computer.", true)
	})
	if len(lamps) > 0 {
		page("Lamps", "What lights each lamp.", func(l *lister) {
			l.table([]column{{head: "lamp", w: 48, bold: true}, {head: "goes by", w: 34}, {head: "that is", quiet: true, small: true}, {head: "pin", w: 36, small: true}}, lamps)
		})
	}
	if len(f.Image.Data) > 0 {
		page("Onto the module", "With the continuity list ticked off, and before the box is closed.", func(l *lister) { flashingPage(l, r) })
	}
	return doc
}

// flashingPage sets the steps that put the image on the module.
func flashingPage(l *lister, r *job.Result) {
	f := &r.Firmware
	l.para(fmt.Sprintf("The image %s is for a module with the chip %s. To the computer the panel is %s, serial number %s.", f.Image.Name, f.Chip, f.Device.Name, f.Device.Serial), false)
	l.heading("Steps")
	for _, s := range flashingSteps(f) {
		l.bullet(s, true)
	}
	l.heading("By hand, with other tools")
	for _, s := range flashingCommands(f) {
		l.para(s, false)
	}
	l.heading("When it goes wrong")
	for _, s := range flashingTrouble(f) {
		l.bullet(s, false)
	}
}

func isUF2(f *firmware.Result) bool { return strings.HasSuffix(f.Image.Name, ".uf2") }

func flashingSteps(f *firmware.Result) []string {
	if isUF2(f) {
		return []string{
			"Unplug the module. Hold its BOOT button down and plug it in; let go after a second. A drive appears on the computer.",
			"knobwright flash " + f.Image.Name + " --to the folder of that drive. Without the tool: drag the file onto the drive.",
			"The drive goes away and the module restarts. The computer finds " + f.Device.Name + ".",
			"Work every control once and tick it off on the page Mapping.",
		}
	}
	return []string{
		"Plug the module in. Press its RESET button twice, quickly; where it has none, touch its pin RST to GND twice. It stays in its boot loader for about eight seconds.",
		"Within that time: knobwright flash " + f.Image.Name + " --to its serial port, /dev/ttyACM0 or COM5 for instance. Without --to the command lists the ports that are there.",
		"Every byte is read back; then the module restarts. The computer finds " + f.Device.Name + ".",
		"Work every control once and tick it off on the page Mapping.",
	}
}

func flashingCommands(f *firmware.Result) []string {
	if isUF2(f) {
		return []string{"cp " + f.Image.Name + " /media/.../   (any way of copying a file will do)"}
	}
	return []string{"avrdude -c avr109 -p m32u4 -P /dev/ttyACM0 -U flash:w:" + f.Image.Name + ":i"}
}

func flashingTrouble(f *firmware.Result) []string {
	out := []string{"A module whose flashing breaks off is not lost: its boot loader is not written to. Begin again with the first step."}
	if isUF2(f) {
		out = append(out, "No drive: another cable (many carry power only), another port, and the button held while the plug goes in.")
	} else {
		out = append(out, "No port: another cable (many carry power only); press RESET twice again, a little faster. The port is there only while the boot loader runs: the panel itself has none.")
	}
	return append(out, "The panel calls itself \"table refused\": the core has found the table wrong. Put the image on once more; it should be made by the same version of the tool as the core.")
}

// flashingText is the same as plain text, with what the image does.
func flashingText(r *job.Result) string {
	f := &r.Firmware
	var b strings.Builder
	for i, s := range flashingSteps(f) {
		fmt.Fprintf(&b, "%d. %s\n", i+1, s)
	}
	b.WriteString("\nWith other tools:\n")
	for _, s := range flashingCommands(f) {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	b.WriteString("\nWhen it goes wrong:\n")
	for _, s := range flashingTrouble(f) {
		fmt.Fprintf(&b, "- %s\n", s)
	}
	if e, err := firmware.Explain(f.Image.Data); err == nil {
		b.WriteString("\nWhat it does\n\n" + e.Text())
	}
	return b.String()
}
