// Package web holds the built page, embedded so that Go alone builds everything. Its source stands in src/; npm run build makes dist/.
package web

import (
	"embed"
	"io/fs"
)

//go:embed dist
var dist embed.FS

// Assets is the built page.
func Assets() fs.FS {
	f, err := fs.Sub(dist, "dist")
	if err != nil {
		panic(err) // the folder is part of the program
	}
	return f
}

// Box3D is the script that shows solids on a page that stands alone.
func Box3D() []byte {
	b, err := dist.ReadFile("dist/share/box3d.js")
	if err != nil {
		panic(err) // the folder is part of the program
	}
	return b
}
