// Package meterfile reads what electricity meters tell into [meter.Data].
//
// [ReadESPI] knows the XML of the Energy Services Provider Interface (NAESB REQ.21), [ReadNEM12] the comma-separated
// meter data file of the Australian market, [ReadTable] a table of time and energy or power; [Read] looks which of the
// two standards a file follows.
package meterfile

import (
	"bufio"
	"bytes"
	"io"

	"outlast/backup/measured/meter"
	"outlast/catalog/strict"
)

// Read reads a meter file of either standard. file is its name in errors, which are [strict.Problems].
func Read(file string, r io.Reader) (*meter.Data, error) {
	b := bufio.NewReaderSize(r, 64<<10)
	head, _ := b.Peek(512)
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case bytes.HasPrefix(head, []byte("<")):
		return ReadESPI(file, b)
	case bytes.HasPrefix(head, []byte("100,")), bytes.HasPrefix(head, []byte("200,")):
		return ReadNEM12(file, b)
	}
	return nil, strict.Problems{{File: file, Line: 1, Col: 1,
		Msg: "found neither XML of the Energy Services Provider Interface nor a meter data file that begins with 100,NEM12"}}
}

// IsStandard says whether the beginning of a file looks like one of the two standards.
func IsStandard(head []byte) bool {
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	return bytes.HasPrefix(head, []byte("<")) || bytes.HasPrefix(head, []byte("100,")) ||
		bytes.HasPrefix(head, []byte("200,"))
}
