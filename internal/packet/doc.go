// Package packet is what goes to the bench: the papers of a checked panel, and putting them into a folder in one step. The
// papers compute nothing; they show what the trades found.
//
// # How a paper is made
//
// Build makes every paper from one job.Result: drawings true to size spread over sheets (template, legends, rear view), drawings
// fitted to one page (front, covering), lists (the drilling schedule), files for machines and for spreadsheets, and a manifest
// with a hash of each. The same result gives the same bytes. Write puts them into a folder so that a kill at any moment leaves
// the old packet or the new one.
//
// # Frames
//
// Drawings are in the face frame (rear views mirrored left to right); a tiling moves them onto pages whose origin is the lower
// left corner of the paper. All lengths are millimetres; who writes the panel file in inches reads inches on paper.
package packet
