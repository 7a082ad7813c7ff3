#include "kw_inner.h"

/* Four bits at a time: 64 bytes of table instead of 1024. Polynomial 04C11DB7 reflected, start and end inverted. */
uint32_t kw_crc32(const uint8_t *rom, uint16_t length)
{
	static const uint32_t step[16] = {
		0x00000000, 0x1DB71064, 0x3B6E20C8, 0x26D930AC, 0x76DC4190, 0x6B6B51F4, 0x4DB26158, 0x5005713C,
		0xEDB88320, 0xF00F9344, 0xD6D6A3E8, 0xCB61B38C, 0x9B64C2B0, 0x86D3D2D4, 0xA00AE278, 0xBDBDF21C,
	};
	uint32_t crc = 0xFFFFFFFF;

	for (; length > 0; length--, rom++) {
		crc ^= KW_ROM8(rom);
		crc = crc >> 4 ^ step[crc & 15];
		crc = crc >> 4 ^ step[crc & 15];
	}
	return ~crc;
}
