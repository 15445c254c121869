package tablepage

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/ascii85"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"path"
	"regexp"
	"slices"
	"strings"

	"outlast/backup/live"
)

// Carried is what the file carries of a home: what the engine is opened with.
type Carried struct {
	File     string            `json:"file"` // name of the site file, without its folder
	Text     string            `json:"text"`
	Catalogs []CarriedCatalog  `json:"catalogs"` // the user's own, in their order
	Files    map[string]string `json:"files"`    // that the site file names, by the names that it gives them
}

// A CarriedCatalog is a catalog of the user's.
type CarriedCatalog struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// loaded finds what the page loads.
var loaded = regexp.MustCompile(
	`(?m)^[ \t]*(?:<link rel="stylesheet" href="([\w.-]+)">|<script src="([\w.-]+)" defer></script>)\r?\n?`)

// firstQuestion is what the page asks when it is opened, to the letter.
const firstQuestion = `{"lang":%q,"changes":[],"view":{"start_min":null,"hours":0,"month":0,"sky":"usual","option":""}}`

// first is what the page asks first, in its language, with the answers.
func first(ctx context.Context, home *live.Table, lang string) ([]byte, error) {
	question := fmt.Sprintf(firstQuestion, lang)
	q, err := live.Read([]byte(question))
	if err != nil {
		return nil, err
	}
	words, err := home.Words(q)
	if err != nil {
		return nil, err
	}
	answer, err := home.Answer(ctx, q)
	if err != nil {
		return nil, err
	}
	return json.Marshal(struct {
		Words    *live.Words  `json:"words"`
		Question string       `json:"question"`
		Answer   *live.Answer `json:"answer"`
	}{words, question, answer})
}

// WriteFile writes the page with its engine and a home as one file; home is what c carries, on the table.
func WriteFile(ctx context.Context, w io.Writer, c Carried, home *live.Table, lang string, languages []string) error {
	e, err := engineOf(ctx)
	if err != nil {
		return err
	}
	page, err := pageFile("index.html")
	if err != nil {
		return err
	}
	// What is inside must not end the element that holds it. Scripts run when all of the page is there, as they do with
	// defer.
	var styles, scripts strings.Builder
	var styleHashes, scriptHashes []string
	for _, m := range loaded.FindAllSubmatch(page, -1) {
		name := string(m[1]) + string(m[2])
		text, err := pageFile(name)
		if name == "connect.js" {
			text, err = scriptsFile("file.js")
		}
		if err != nil {
			return err
		}
		if i := bytes.Index(bytes.ToLower(text), []byte("</s")); i >= 0 {
			return fmt.Errorf("%s holds %q: it would end its element", name, text[i:i+3])
		}
		hash := hashOf(text)
		if path.Ext(name) == ".css" {
			styleHashes = append(styleHashes, hash)
			fmt.Fprintf(&styles, "<style>%s</style>\n", text)
		} else {
			scriptHashes = append(scriptHashes, hash)
			fmt.Fprintf(&scripts, "<script>%s</script>\n", text)
		}
	}
	if len(scriptHashes) == 0 {
		return fmt.Errorf("the page loads no script")
	}
	scriptHashes = append(scriptHashes, hashOf([]byte(feedScript)))
	policy := fmt.Sprintf(
		`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src %s 'wasm-unsafe-eval'; style-src %s; img-src data:; worker-src blob:; base-uri 'none'; form-action 'none'">`,
		strings.Join(scriptHashes, " "), strings.Join(styleHashes, " "))
	worker, err := scriptsFile("worker.js")
	if err != nil {
		return err
	}
	carried, err := json.Marshal(c)
	if err != nil {
		return err
	}
	if carried, err = compressed(carried); err != nil {
		return err
	}
	answered, err := first(ctx, home, lang)
	if err != nil {
		return err
	}
	about, err := json.Marshal(map[string]any{"file": c.File, "revision": revisionOf([]byte(c.Text)), "lang": lang,
		"languages": languages})
	if err != nil {
		return err
	}
	var data strings.Builder
	for _, d := range []struct{ id, text string }{
		{"outlast-about", string(about)}, {"outlast-worker", string(e.exec) + "\n" + string(worker)},
		{"outlast-first", string(answered)}, {"outlast-home", base85(carried)},
	} {
		if strings.Contains(strings.ToLower(d.text), "</s") || strings.Contains(d.text, "<!--") {
			return fmt.Errorf("%s would end its element", d.id)
		}
		fmt.Fprintf(&data, "<script type=\"application/octet-stream\" id=%q>%s</script>\n", d.id, d.text)
	}
	out := loaded.ReplaceAllString(string(page), "")
	head, rest, ok := strings.Cut(out, "<meta charset=\"utf-8\">\n")
	if !ok {
		return fmt.Errorf(`the page has no line <meta charset="utf-8">`)
	}
	body, tail, ok := strings.Cut(rest, "</body>")
	if !ok {
		return fmt.Errorf("the page has no </body>")
	}
	out = head + "<meta charset=\"utf-8\">\n" + policy + "\n" + strings.Replace(body, "</head>",
		styles.String()+"</head>", 1) + data.String() + scripts.String() + engineParts(e.wasm) + "</body>" + tail
	_, err = io.WriteString(w, out)
	return err
}

// partBytes is how much of the engine stands in one piece, a multiple of the four bytes that base 85 writes at once.
const partBytes = 256 << 10

// feedScript hands the piece before it to the engine's worker.
const feedScript = "table.feed();"

// engineParts are the pieces of the engine. The page stands before them and is drawn first; each piece is unpacked and
// compiled while the browser reads the next one.
func engineParts(wasm []byte) string {
	var out strings.Builder
	for part := range slices.Chunk(wasm, partBytes) {
		fmt.Fprintf(&out, "<script type=\"application/octet-stream\" class=\"outlast-engine\">%s</script><script>%s</script>\n",
			base85(part), feedScript)
	}
	return out.String()
}

// hashOf is a text as a content policy names it.
func hashOf(text []byte) string {
	sum := sha256.Sum256(text)
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// scriptsFile reads a script that connects the page.
func scriptsFile(name string) ([]byte, error) { return scripts.ReadFile("connect/" + name) }

// base85 writes bytes as text, five signs for four: less than base 64, and without what means something in a page.
func base85(data []byte) string {
	out := make([]byte, ascii85.MaxEncodedLen(len(data)))
	out = out[:ascii85.Encode(out, data)]
	return strings.NewReplacer("<", "v", "&", "w").Replace(string(out))
}
