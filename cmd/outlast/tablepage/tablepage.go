// Package tablepage serves the page at the kitchen table, and writes it as one file that works without a server.
//
// The page itself stands in the folder page: index.html, page.css, page.js and whatever else it needs. It draws, and
// asks package live for every figure. It is the same for both ways of being opened; what differs is how it is
// connected. index.html loads, in this order and spelled like this, each on a line of its own:
//
//	<link rel="stylesheet" href="page.css">
//	<script src="connect.js" defer></script>
//	<script src="page.js" defer></script>
//
// More scripts and style sheets of the folder may follow in the same spelling; nothing else is loaded, and no style or
// script stands in the markup: the content policy refuses it. Styles may be set by script (element.style.left = "3px").
//
// connect.js, which is not in that folder, makes the object globalThis.table:
//
//	table.ready              a promise of {file, revision, lang, languages, alone}: alone says that there is no server
//	table.runs               without a server: a promise that is kept when the engine runs; the page does not wait for it
//	table.ask(kind, question, signal)
//	                         a promise of the answer of package live; signal (of an AbortController) drops the question. It is rejected with
//	                         an Error; where it has a code, the page has a text "error." and it, with what is in about put in, else there is
//	                         only its message, in English. Its name is "AbortError" where the question was dropped, "RevisionError"
//	                         where the server does not know any more what the page was opened for: load the page again
//	table.save(changes)      a promise of {saved: true, revision, copy}: the changes are in the file, copy is the name of the old one beside it, and
//	                         from now on changes count from the new revision, so that the page begins a new list; or of
//	                         {saved: false, revision, disk, yours}: the file was changed elsewhere meanwhile. disk is its text, yours what would have
//	                         been saved. table.take(revision) makes changes count from what is on disk, whatever the page then does with its list.
//	                         Without a server it gives the changed file to the browser to keep.
//	table.saveAs(name, changes)
//	                         a promise of {saved: true, name}; the page goes on with the file that it has. Rejected where the name will not do.
//	table.take(revision)     see save
//	table.papers(question)   opens the papers of what is on the screen (changes, view.option, lang); null where there are none: without a server
package tablepage

import (
	"embed"
	"io/fs"
)

// files are the page.
//
//go:embed page
var files embed.FS

// scripts connect the page.
//
//go:embed connect
var scripts embed.FS

// types are the kinds of files that the page may have.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".svg": "image/svg+xml",
}

// pageFile reads a file of the page.
func pageFile(name string) ([]byte, error) {
	if name == "connect.js" {
		return fs.ReadFile(scripts, "connect/server.js")
	}
	return fs.ReadFile(files, "page/"+name)
}
