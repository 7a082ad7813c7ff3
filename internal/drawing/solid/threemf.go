package solid

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"

	"knobwright/internal/geom"
)

// The parts of a 3MF package, after the 3MF Core Specification 1.3 (from memory).
const (
	mfTypes = xml.Header + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>` + "\n"
	mfRels = xml.Header + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
		`<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>` + "\n"
	mfCore = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
)

type mfModel struct {
	XMLName  xml.Name     `xml:"model"`
	Unit     string       `xml:"unit,attr"`
	Lang     string       `xml:"xml:lang,attr"`
	Space    string       `xml:"xmlns,attr"`
	Metadata []mfMetadata `xml:"metadata"`
	Bases    mfBases      `xml:"resources>basematerials"`
	Objects  []mfObject   `xml:"resources>object"`
	Build    []mfItem     `xml:"build>item"`
}

type mfMetadata struct {
	Name string `xml:"name,attr"`
	Text string `xml:",chardata"`
}

type mfBases struct {
	ID   int      `xml:"id,attr"`
	Base []mfBase `xml:"base"`
}

type mfBase struct {
	Name   string `xml:"name,attr"`
	Colour string `xml:"displaycolor,attr"`
}

type mfObject struct {
	ID        int          `xml:"id,attr"`
	Type      string       `xml:"type,attr"`
	Name      string       `xml:"name,attr"`
	Group     int          `xml:"pid,attr"`
	Base      int          `xml:"pindex,attr"`
	Vertices  []mfVertex   `xml:"mesh>vertices>vertex"`
	Triangles []mfTriangle `xml:"mesh>triangles>triangle"`
}

type mfVertex struct {
	X string `xml:"x,attr"`
	Y string `xml:"y,attr"`
	Z string `xml:"z,attr"`
}

type mfTriangle struct {
	A int `xml:"v1,attr"`
	B int `xml:"v2,attr"`
	C int `xml:"v3,attr"`
}

type mfItem struct {
	Object int `xml:"objectid,attr"`
}

// micron is the grid of coordinates in 3MF: a millionth of a millimetre.
const micron = 1e6

// ThreeMF gives the bodies as a 3MF package: one object each, with name and colour, in millimetres. tol is as in Mesh.
func (m *Model) ThreeMF(title string, tol float64) ([]byte, error) {
	doc := mfModel{
		Unit: "millimeter", Lang: "en", Space: mfCore,
		Metadata: []mfMetadata{{"Title", title}, {"Application", "Knobwright"}},
		Bases:    mfBases{ID: 1},
	}
	for i, b := range m.bodies {
		mesh, err := m.Mesh(i, tol)
		if err != nil {
			return nil, err
		}
		mesh = mesh.weld(func(p geom.Vec3) geom.Vec3 {
			return geom.Vec3{X: tidy(p.X, micron), Y: tidy(p.Y, micron), Z: tidy(p.Z, micron)}
		})
		doc.Bases.Base = append(doc.Bases.Base, mfBase{b.name, fmt.Sprintf("#%02X%02X%02X", b.colour.R, b.colour.G, b.colour.B)})
		o := mfObject{ID: i + 2, Type: "model", Name: b.name, Group: 1, Base: i}
		for _, v := range mesh.Vertices {
			o.Vertices = append(o.Vertices, mfVertex{decimal(v.X), decimal(v.Y), decimal(v.Z)})
		}
		for _, t := range mesh.Triangles {
			o.Triangles = append(o.Triangles, mfTriangle{t[0], t[1], t[2]})
		}
		doc.Objects = append(doc.Objects, o)
		doc.Build = append(doc.Build, mfItem{i + 2})
	}
	body, err := xml.Marshal(doc)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, f := range []struct{ name, text string }{
		{"[Content_Types].xml", mfTypes},
		{"_rels/.rels", mfRels},
		{"3D/3dmodel.model", xml.Header + string(body) + "\n"},
	} {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: zip.Deflate, Modified: time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)})
		if err != nil {
			return nil, err
		}
		if _, err := io.WriteString(w, f.text); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// decimal writes a rounded coordinate without an exponent.
func decimal(x float64) string {
	if math.Abs(x) < 0.5/micron {
		return "0"
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
