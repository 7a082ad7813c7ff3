package project

import "knobwright/internal/yamlfile"

// USB is how the panel names itself to the computer.
type USB struct {
	// Vendor number, as in 0x1209; default a number that is kept for trials.
	Vendor string `yaml:"vendor"`
	// Product number of that vendor, as in 0x0001.
	Product string `yaml:"product"`
	// Name that the computer shows; default the title.
	Name string `yaml:"name"`
	// Who made it; shown beside the name; default "hand-built".
	Maker string `yaml:"maker"`
	// Joystick or gamepad: what the buttons and axes appear as.
	As string `yaml:"as" jsonschema:"enum=joystick,enum=gamepad"`
	// Yes: keys come as a keyboard of their own that a computer's start-up menus understand too.
	BootKeyboard bool `yaml:"boot-keyboard"`
	// How often the contacts are looked at, in thousandths of a millisecond; default by the module.
	Tick int `yaml:"tick"`
}

// Kept is a number or an axis that a control keeps, whatever is added before it.
type Kept struct {
	Is string `yaml:"is" kw:"scalar"` // number of a button or host lamp, or name of an axis: 5, slider
}

// Parted says that the name may have parts: "curtain/up".
func (Kept) Parted() {}

// Numbers are what controls keep, by the name of what sends.
type Numbers = yamlfile.Ordered[Kept]
