package project

import _ "embed" // for the schemas

//go:generate go run ./schemagen

//go:embed knobwright.schema.json
var schema []byte

//go:embed catalogue.schema.json
var catalogueSchema []byte

// Schema is the JSON Schema (draft 2020-12) of the panel file, for editors: words, choices and remarks while typing.
func Schema() []byte { return append([]byte(nil), schema...) }

// CatalogueSchema is the JSON Schema (draft 2020-12) of a person's own catalogue file.
func CatalogueSchema() []byte { return append([]byte(nil), catalogueSchema...) }
