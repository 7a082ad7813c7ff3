/* The compiler writes calls of these where a structure is copied or cleared. */
#ifndef MEMORY_H
#define MEMORY_H

#include <stddef.h>

void *memcpy(void *to, const void *from, size_t n);
void *memset(void *to, int value, size_t n);

#endif
