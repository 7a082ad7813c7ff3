package image_test

import (
	"fmt"

	"knobwright/internal/image"
)

// A core and a table beside it, as one file to drop on the drive of a module.
func ExampleWriteUF2() {
	m, err := image.Place(
		image.Piece{Name: "core", Addr: 0x10000000, Data: make([]byte, 5000)},
		image.Piece{Name: "table", Addr: 0x1000F000, Data: []byte("KWT1")},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	file, err := image.WriteUF2(m, image.UF2Options{Family: image.RP2040, Sector: 4096, Fill: 0xFF})
	if err != nil {
		fmt.Println(err)
		return
	}
	u, err := image.ReadUF2(file)
	fmt.Println(len(u.Blocks), "blocks,", u.Check(image.FlashRP2040), err)
	u.Blocks = append(u.Blocks[:20], u.Blocks[21:]...)
	for _, p := range u.Check(image.FlashRP2040) {
		fmt.Println(p)
	}
	// Output:
	// 48 blocks, [] <nil>
	// 1 of 48 blocks are missing, the first of them number 20
}
