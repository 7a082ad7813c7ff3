package solid

import (
	"errors"
	"fmt"
)

// What can be wrong with a piece or a hole. Build wraps them in an Error; ask with errors.Is.
var (
	ErrNumber  = errors.New("a size or place is not a number, or farther off than 100 m")
	ErrFrame   = errors.New("a frame's axes are not of length 1, square to each other and right-handed")
	ErrOutline = errors.New("an outline is empty, runs clockwise, crosses itself or has a corner sharper than half a degree")
	ErrThin    = errors.New("something is thinner than 0.02 mm")
	ErrHull    = errors.New("a block has no solid")
	ErrNoFace  = errors.New("the hole starts in no flat face")
	ErrMeets   = errors.New("the hole comes out through, or too near to, the side of its piece")
	ErrHoles   = errors.New("two holes meet, or leave less than 0.02 mm between them")
	ErrSink    = errors.New("a widened mouth must be wider than its hole, the hole round and square to the surface")
	ErrOverlap = errors.New("two pieces of one body overlap")
	ErrApart   = errors.New("the parts of a piece do not hang together, or they enclose a hollow")
	ErrEmpty   = errors.New("a body without pieces")
	ErrMesh    = errors.New("a surface cannot be divided into triangles")
	ErrView    = errors.New("a view needs angles and a scale that are numbers")
)

// Error says where in the bodies given to Build something is wrong.
type Error struct {
	Body  string // its name
	Piece int    // number in the body, from 0; -1 for the whole body
	Hole  int    // number in the piece, from 0; -1 for the piece itself
	Other int    // for ErrHoles and ErrOverlap the other hole or piece; else -1
	Err   error  // one of the Err values
}

func (e *Error) Error() string {
	s := e.Body
	if e.Piece >= 0 {
		s += fmt.Sprintf(", piece %d", e.Piece+1)
	}
	if e.Hole >= 0 {
		s += fmt.Sprintf(", hole %d", e.Hole+1)
	}
	s += ": " + e.Err.Error()
	if e.Other >= 0 {
		s += fmt.Sprintf(" (the other is number %d)", e.Other+1)
	}
	return s
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

func holeErr(i int, err error) error { return &Error{Piece: -1, Hole: i, Other: -1, Err: err} }
