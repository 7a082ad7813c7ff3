#include "memory.h"

void *memcpy(void *to, const void *from, size_t n)
{
	unsigned char *t = to;
	const unsigned char *f = from;

	while (n-- > 0)
		*t++ = *f++;
	return to;
}

void *memset(void *to, int value, size_t n)
{
	unsigned char *t = to;

	while (n-- > 0)
		*t++ = (unsigned char)value;
	return to;
}
