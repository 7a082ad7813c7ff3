package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"knobwright/internal/image"
)

// What the core for the ATmega32U4 may take: it ends where the table begins, and leaves the stack what is left of 2560 bytes.
const (
	flashAVR  = 0x6000
	memoryAVR = 2000
)

var flagsAVR = []string{
	"-mmcu=atmega32u4", "-DF_CPU=16000000UL", "-DKWB_MAX_DIRECT=26", "-DKWB_MAX_EXPANDERS=6", "-std=c99", "-Os", "-flto", "-fwhole-program",
	"-ffunction-sections", "-fdata-sections", "-mrelax", "-mstrict-X", "-mcall-prologues", "-fno-move-loop-invariants", "-fno-tree-copyrename", "-fshort-enums", "-Wall", "-Wextra", "-Wshadow", "-Wstrict-prototypes", "-Werror",
	"-Icore", "-Iboard", "-Iavr",
}

// buildAVR compiles and links. The chip's core has 26 pins, and room for raw bits of six expanders.
func buildAVR(source, dir string) ([]byte, error) {
	var files []string
	for _, folder := range []string{"core", "board", "avr"} {
		found, err := filepath.Glob(filepath.Join(source, folder, "*.c"))
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			files = append(files, folder+"/"+filepath.Base(f))
		}
	}
	elf, bin := filepath.Join(dir, "core.elf"), filepath.Join(dir, "core.bin")
	args := slices.Concat(flagsAVR, files, []string{"-Wl,--gc-sections", "-Wl,-u,kwb_info", "-o", elf})
	if err := run(source, "avr-gcc", args...); err != nil {
		return nil, err
	}
	size, err := exec.Command("avr-size", elf).Output()
	if err != nil {
		return nil, err
	}
	var text, data, bss int
	if _, rest, ok := strings.Cut(string(size), "\n"); !ok {
		return nil, fmt.Errorf("avr-size says %q", size)
	} else if _, err := fmt.Sscan(rest, &text, &data, &bss); err != nil {
		return nil, err
	}
	fmt.Printf("ATmega32U4: %d bytes of flash of %d, %d of memory of 2560\n", text+data, flashAVR, data+bss)
	if text+data > flashAVR || data+bss > memoryAVR {
		return nil, fmt.Errorf("the core for the ATmega32U4 takes %d bytes of flash of %d, and %d of memory of %d", text+data, flashAVR, data+bss, memoryAVR)
	}
	if err := run(source, "avr-objcopy", "-O", "binary", "-R", ".eeprom", elf, bin); err != nil {
		return nil, err
	}
	return os.ReadFile(bin)
}

// writeHEX writes the core as the file that common flash tools take.
func writeHEX(name string, core []byte) error {
	m, err := image.Place(image.Piece{Name: "core", Data: core})
	if err != nil {
		return err
	}
	hex, err := image.WriteHEX(m, image.HEXOptions{})
	if err != nil {
		return err
	}
	return os.WriteFile(name, hex, 0o644)
}
