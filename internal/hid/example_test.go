package hid_test

import (
	"fmt"

	"knobwright/internal/hid"
)

// A signal desk of 20 levers as buttons, one slide, and three lamps that the host lights.
func ExampleBuild() {
	desc, d, err := hid.Build(hid.Joystick{
		ID: 1, Buttons: 20, Lamps: 3,
		Axes: []hid.Axis{{Usage: hid.Slider, Min: 0, Max: 4095}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d bytes\n\n%s\n", len(desc), d.Layout())
	wire, err := d.Encode(hid.Input, 1, []hid.Control{{Usage: hid.Button(18), Value: 1}, {Usage: hid.Slider, Value: 4000}})
	fmt.Printf("% X %v\n", wire, err)
	// Output:
	// 64 bytes
	//
	// Input report 1, 6 bytes with its number
	//   byte 0 bit 0    20 x 1 bit    0 to 1  Button 1 to Button 20
	//   byte 2 bit 4    1 x 4 bits    fill
	//   byte 3 bit 0    1 x 16 bits   0 to 4095  Slider
	//
	// Output report 1, 2 bytes with its number
	//   byte 0 bit 0    3 x 1 bit     0 to 1  Generic Indicator, each
	//   byte 0 bit 3    1 x 5 bits    fill
	//
	// 01 00 00 02 A0 0F <nil>
}
