// Package image puts pieces of a chip's memory together and writes and reads the two files that carry them to a chip: UF2 files, which
// are dropped on a drive, and Intel HEX files, which loaders read. It knows nothing of panels, of what the bytes mean, or of drives.
//
//	pieces --Place--> Image --WriteUF2--> file --ReadUF2--> UF2 --Check--> problems
//	                        --WriteHEX--> file --ReadHEX--> HEX
//
// Everything here is pure. Files that cannot be read give a *Error with the number of the block or line; nothing panics.
package image
