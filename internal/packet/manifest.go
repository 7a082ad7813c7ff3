package packet

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
)

// Manifest says what a packet holds and from what it was made: enough to tell in ten years whether a paper belongs to a file.
type Manifest struct {
	Tool    string         `json:"tool"`
	Version string         `json:"version"`
	Title   string         `json:"title"`
	Source  string         `json:"source_sha256"` // of the panel file's text
	Verdict string         `json:"verdict"`
	Files   []ManifestFile `json:"files"`
}

// ManifestFile is one paper in the manifest.
type ManifestFile struct {
	Name   string `json:"name"`
	About  string `json:"about"`
	Bytes  int    `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// hash is the SHA-256 of data in hexadecimal.
func hash(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}

// Mark is a short name for a version of the panel file, printed on every sheet: the first eight digits of its hash.
func Mark(src []byte) string {
	h := hash(src)
	return h[:4] + " " + h[4:8]
}

// withManifest adds the manifest of the papers to them.
func withManifest(m Manifest, docs []Doc) ([]Doc, error) {
	for _, d := range docs {
		m.Files = append(m.Files, ManifestFile{d.Name, d.About, len(d.Data), hash(d.Data)})
	}
	data, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, err
	}
	return append(docs, Doc{Name: manifestName, About: "what is here, with hashes", Data: append(data, '\n')}), nil
}

// manifestFiles lists the names that a manifest on disk answers for, its own among them.
func manifestFiles(path string) (map[string]bool, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var m Manifest
	if err := json.Unmarshal(data, &m); err != nil {
		return nil, err
	}
	names := map[string]bool{manifestName: true}
	for _, f := range m.Files {
		names[f.Name] = true
	}
	return names, nil
}
