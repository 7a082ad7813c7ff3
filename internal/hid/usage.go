package hid

import (
	_ "embed"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

// Usage says what a control or a collection is for: a page in the upper 16 bits, a number in the lower 16. The same number means
// different things on different pages. Source: HID 1.11, 6.2.2.8 (extended usage).
type Usage uint32

// Pages of the HID Usage Tables that this package names usages of. Pages from 0xFF00 up belong to vendors.
const (
	PageDesktop    uint16 = 0x01 // pointers, joysticks, keyboards as wholes; axes, hats, system controls
	PageSimulation uint16 = 0x02 // throttle, steering and other controls of simulators
	PageKeyboard   uint16 = 0x07 // keys
	PageLED        uint16 = 0x08 // lamps
	PageButton     uint16 = 0x09 // buttons, numbered from 1
	PageConsumer   uint16 = 0x0C // media keys, launching programs
	PageVendor     uint16 = 0xFF00
)

// Usages that the builders use by name. Source: HID Usage Tables.
const (
	Pointer          Usage = 0x0001_0001
	MousePointer     Usage = 0x0001_0002
	JoystickUsage    Usage = 0x0001_0004
	GamePad          Usage = 0x0001_0005
	KeyboardUsage    Usage = 0x0001_0006
	Keypad           Usage = 0x0001_0007
	MultiAxis        Usage = 0x0001_0008
	X                Usage = 0x0001_0030
	Y                Usage = 0x0001_0031
	Z                Usage = 0x0001_0032
	Rx               Usage = 0x0001_0033
	Ry               Usage = 0x0001_0034
	Rz               Usage = 0x0001_0035
	Slider           Usage = 0x0001_0036
	Dial             Usage = 0x0001_0037
	Wheel            Usage = 0x0001_0038
	HatSwitch        Usage = 0x0001_0039
	SystemControl    Usage = 0x0001_0080
	SystemPowerDown  Usage = 0x0001_0081
	SystemSleep      Usage = 0x0001_0082
	SystemWakeUp     Usage = 0x0001_0083
	LeftControl      Usage = 0x0007_00E0
	RightGUI         Usage = 0x0007_00E7
	NumLockLamp      Usage = 0x0008_0001
	KanaLamp         Usage = 0x0008_0005
	GenericIndicator Usage = 0x0008_004B
	ConsumerControl  Usage = 0x000C_0001
	PanSideways      Usage = 0x000C_0238
)

// U joins a page and a number.
func U(page, id uint16) Usage { return Usage(page)<<16 | Usage(id) }

// Button is the usage of button n, counted from 1.
func Button(n int) Usage { return U(PageButton, uint16(n)) }

// Page gives the page.
func (u Usage) Page() uint16 { return uint16(u >> 16) }

// ID gives the number on the page.
func (u Usage) ID() uint16 { return uint16(u) }

// String names the usage: "Joystick", "Button 7", or page and number where there is no name ("Vendor 0xFF00, 0x21").
func (u Usage) String() string {
	if name, ok := u.Name(); ok {
		return name
	}
	return fmt.Sprintf("%s, 0x%02X", PageName(u.Page()), u.ID())
}

// Name gives the name of a usage, and whether this package has one.
func (u Usage) Name() (string, bool) {
	switch u.Page() {
	case PageButton:
		if u.ID() == 0 {
			return "No button", true
		}
		return "Button " + strconv.Itoa(int(u.ID())), true
	case 0x0A:
		return "Instance " + strconv.Itoa(int(u.ID())), u.ID() > 0
	}
	name, ok := usageTable().names[u]
	return name, ok
}

// PageName names a page: "Generic Desktop", "Vendor 0xFF00", "Page 0x91" where this package has no name.
func PageName(page uint16) string {
	if page >= PageVendor {
		return fmt.Sprintf("Vendor 0x%04X", page)
	}
	if name, ok := usageTable().pages[page]; ok {
		return name
	}
	return fmt.Sprintf("Page 0x%02X", page)
}

// FindUsage looks up a usage of a page by its name, letter case aside. It is false where the page has no such name.
func FindUsage(page uint16, name string) (Usage, bool) {
	if page == PageButton {
		rest, ok := strings.CutPrefix(strings.ToLower(name), "button ")
		n, err := strconv.ParseUint(rest, 10, 16)
		return U(page, uint16(n)), ok && err == nil && n > 0 && rest == strconv.FormatUint(n, 10)
	}
	u, ok := usageTable().byName[nameKey(page, name)]
	return u, ok
}

// Usages lists the named usages of a page in order of their numbers. Buttons are countless and give none.
func Usages(page uint16) []Usage { return usageTable().order[page] }

//go:embed usages.txt
var usagesText string

type usages struct {
	pages  map[uint16]string
	names  map[Usage]string
	byName map[string]Usage
	order  map[uint16][]Usage
}

func nameKey(page uint16, name string) string {
	return strconv.Itoa(int(page)) + " " + strings.ToLower(name)
}

// usageTable reads usages.txt: "page 01 Name", then "01 Name" for each usage of that page, or "04-1D prefix: a b c" for a run of
// usages whose names are a prefix and one word each.
var usageTable = sync.OnceValue(func() usages {
	t := usages{pages: map[uint16]string{}, names: map[Usage]string{}, byName: map[string]Usage{}, order: map[uint16][]Usage{}}
	page := uint16(0)
	for line := range strings.Lines(usagesText) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		if rest, ok := strings.CutPrefix(line, "page "); ok {
			num, name, _ := strings.Cut(rest, " ")
			page = hex16(num)
			t.pages[page] = name
			continue
		}
		num, name, _ := strings.Cut(line, " ")
		first, _, run := strings.Cut(num, "-")
		if !run {
			t.add(U(page, hex16(num)), name)
			continue
		}
		prefix, words, _ := strings.Cut(name, ": ")
		for i, w := range strings.Fields(words) {
			t.add(U(page, hex16(first))+Usage(i), prefix+" "+w)
		}
	}
	return t
})

func (t usages) add(u Usage, name string) {
	t.names[u] = name
	t.byName[nameKey(u.Page(), name)] = u
	t.order[u.Page()] = append(t.order[u.Page()], u)
}

func hex16(s string) uint16 {
	n, _ := strconv.ParseUint(s, 16, 16)
	return uint16(n)
}
