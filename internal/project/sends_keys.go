package project

import "strconv"

// Keys by the names that the file uses, with their numbers on the keyboard page. Source: HID Usage Tables, Keyboard/Keypad page. They
// name places on a keyboard: what a computer makes of them is up to its layout.
var keyWords = func() map[string]uint16 {
	m := map[string]uint16{
		"enter": 0x28, "return": 0x28, "esc": 0x29, "escape": 0x29, "backspace": 0x2A, "tab": 0x2B, "space": 0x2C, "minus": 0x2D, "equals": 0x2E,
		"left-bracket": 0x2F, "right-bracket": 0x30, "backslash": 0x31, "semicolon": 0x33, "quote": 0x34, "grave": 0x35, "comma": 0x36, "period": 0x37,
		"slash": 0x38, "caps-lock": 0x39, "print-screen": 0x46, "scroll-lock": 0x47, "pause": 0x48, "insert": 0x49, "home": 0x4A, "page-up": 0x4B,
		"delete": 0x4C, "end": 0x4D, "page-down": 0x4E, "right": 0x4F, "left": 0x50, "down": 0x51, "up": 0x52, "num-lock": 0x53, "keypad-slash": 0x54,
		"keypad-star": 0x55, "keypad-minus": 0x56, "keypad-plus": 0x57, "keypad-enter": 0x58, "keypad-0": 0x62, "keypad-period": 0x63, "extra": 0x64, "menu": 0x65,
	}
	for i := range 26 {
		m[string(rune('a'+i))] = uint16(0x04 + i)
	}
	for i := range 9 {
		m[strconv.Itoa(i+1)] = uint16(0x1E + i)
		m["keypad-"+strconv.Itoa(i+1)] = uint16(0x59 + i)
	}
	m["0"] = 0x27
	for i := range 12 {
		m["f"+strconv.Itoa(i+1)] = uint16(0x3A + i)
		m["f"+strconv.Itoa(i+13)] = uint16(0x68 + i)
	}
	return m
}()

// Modifiers by name, as bits; modNames is what they are called when they are told back.
var (
	modWords = map[string]int{
		"ctrl": 0, "control": 0, "left-ctrl": 0, "shift": 1, "left-shift": 1, "alt": 2, "option": 2, "left-alt": 2, "gui": 3, "win": 3, "super": 3, "cmd": 3, "meta": 3,
		"right-ctrl": 4, "right-shift": 5, "right-alt": 6, "altgr": 6, "right-gui": 7,
	}
	modNames = [8]string{"ctrl", "shift", "alt", "gui", "right-ctrl", "right-shift", "right-alt", "right-gui"}
)

// Media keys, with their numbers on the consumer page. Source: HID Usage Tables, Consumer page.
var consumerWords = map[string]uint16{
	"power": 0x30, "sleep": 0x32, "menu": 0x40, "menu-pick": 0x41, "menu-up": 0x42, "menu-down": 0x43, "menu-left": 0x44, "menu-right": 0x45, "menu-escape": 0x46,
	"brightness-up": 0x6F, "brightness-down": 0x70, "channel-up": 0x9C, "channel-down": 0x9D, "play": 0xB0, "pause": 0xB1, "record": 0xB2, "fast-forward": 0xB3,
	"rewind": 0xB4, "next": 0xB5, "previous": 0xB6, "stop": 0xB7, "eject": 0xB8, "shuffle": 0xB9, "repeat": 0xBC, "play-pause": 0xCD, "mute": 0xE2,
	"bass-boost": 0xE5, "loudness": 0xE7, "volume-up": 0xE9, "volume-down": 0xEA, "bass-up": 0x152, "bass-down": 0x153, "treble-up": 0x154, "treble-down": 0x155,
	"mail": 0x18A, "calculator": 0x192, "files": 0x194, "search": 0x221, "web-home": 0x223, "web-back": 0x224, "web-forward": 0x225, "web-stop": 0x226,
	"web-refresh": 0x227, "bookmarks": 0x22A,
}

// System controls, with their numbers on the desktop page. Source: HID Usage Tables, Generic Desktop page.
var systemWords = map[string]uint16{"power": 0x81, "sleep": 0x82, "wake": 0x83}
