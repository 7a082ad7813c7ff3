package main

import (
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

var flagsRP2040 = []string{
	"-mcpu=cortex-m0plus", "-mthumb", "-masm-syntax-unified", "-std=gnu99", "-Os", "-ffreestanding", "-ffunction-sections", "-fdata-sections", "-fno-common",
	"-fno-tree-loop-distribute-patterns", "--param=min-pagesize=0", "-Wall", "-Wextra", "-Wshadow", "-Wconversion", "-Wstrict-prototypes", "-Werror",
	"-Icore", "-Iboard", "-Irp2040",
}

// buildRP2040 compiles, links, and writes the checksum of the boot block.
func buildRP2040(source, dir string) ([]byte, error) {
	var files []string
	for _, pattern := range []string{"core/*.c", "board/*.c", "rp2040/*.c", "rp2040/*.S"} {
		found, err := filepath.Glob(filepath.Join(source, pattern))
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			name, err := filepath.Rel(source, f)
			if err != nil {
				return nil, err
			}
			files = append(files, filepath.ToSlash(name))
		}
	}
	slices.Sort(files)
	elf, bin := filepath.Join(dir, "core.elf"), filepath.Join(dir, "core.bin")
	args := slices.Concat(flagsRP2040, files, []string{
		"-nostdlib", "-Wl,--gc-sections", "-Wl,--build-id=none", "-Wl,--no-warn-rwx-segments", "-Trp2040/link.ld", "-lgcc", "-o", elf,
	})
	if err := run(source, "arm-none-eabi-gcc", args...); err != nil {
		return nil, err
	}
	if err := run(source, "arm-none-eabi-objcopy", "-O", "binary", elf, bin); err != nil {
		return nil, err
	}
	image, err := os.ReadFile(bin)
	if err != nil {
		return nil, err
	}
	if len(image) < 256 || len(image) > 0xF000 {
		return nil, fmt.Errorf("the core for the RP2040 has %d bytes; 256 to 61440 are possible", len(image))
	}
	binary.LittleEndian.PutUint32(image[252:], bootCRC(image[:252]))
	return image, nil
}

// bootCRC is the checksum that the boot ROM of the RP2040 wants over the first 252 bytes of flash: CRC-32 with the polynomial 0x04C11DB7,
// begun with all ones, not reflected, not inverted at the end. Source: RP2040 data sheet, 2.8.1.3.1.
func bootCRC(data []byte) uint32 {
	crc := ^uint32(0)
	for _, b := range data {
		crc ^= uint32(b) << 24
		for range 8 {
			if crc>>31 != 0 {
				crc = crc<<1 ^ 0x04C11DB7
			} else {
				crc <<= 1
			}
		}
	}
	return crc
}
