package firmware

import "embed"

// The cores, built by ./build from the sources beside it, byte for byte.
//
//go:embed images
var images embed.FS

var imageNames = map[Chip]string{RP2040: "images/rp2040.bin", ATmega32U4: "images/atmega32u4.bin"}

// Core gives the core of a chip as bytes, from its first address on (Info.Start); false where there is none.
func Core(chip Chip) ([]byte, bool) {
	name, ok := imageNames[chip]
	if !ok {
		return nil, false
	}
	b, err := images.ReadFile(name)
	return b, err == nil
}
