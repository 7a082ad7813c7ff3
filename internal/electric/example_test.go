package electric_test

import (
	"fmt"

	"knobwright/internal/electric"
)

// A blue lamp with 5 mA, on 5 V and on 3.3 V.
func ExampleLampResistor() {
	blue, _ := electric.DropOf("blue")
	for _, volt := range []float64{5, 3.3} {
		a, err := electric.LampResistor(electric.LampQuestion{Supply: electric.PlusMinus(volt, 5), Drop: blue.Volt, Want: 0.005})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%g V: %s, %s, %.1f mA (%.1f to %.1f)\n", volt, electric.FormatOhms(a.Ohm), a.Light, 1e3*a.Current.Nom, 1e3*a.Current.Min, 1e3*a.Current.Max)
	}
	// Output:
	// 5 V: 360 Ω, lights, 5.0 mA (2.5 to 7.2)
	// 3.3 V: 20 Ω, little headroom, 5.0 mA (0.0 to 35.0)
}

// Four positions of a rotary switch on one pin.
func ExampleLadder() {
	a, err := electric.Ladder(electric.LadderQuestion{Kind: electric.OneAtATime, Contacts: 4, PullUp: 10e3, Series: electric.E12})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, r := range a.Ohms {
		fmt.Printf("position %d: %s\n", i+1, electric.FormatOhms(r))
	}
	fmt.Printf("%.0f LSB apart, safe: %v\n", a.Gap, a.Safe)
	// Output:
	// position 1: 0 Ω
	// position 2: 3.3 kΩ
	// position 3: 10 kΩ
	// position 4: 33 kΩ
	// 235 LSB apart, safe: true
}

func ExampleBands() {
	b, err := electric.Bands(4700, 5, 4)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range b {
		fmt.Print(c, " ", c.Letters(), ", ")
	}
	fmt.Println(electric.ShortOhms(4700))
	// Output: yellow YE, violet VT, red RD, gold GD, 4k7
}
