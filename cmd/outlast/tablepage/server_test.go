package tablepage

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"outlast/backup/live"
	"outlast/catalog"
)

// A folder stands for the one of the site file.
type folder struct {
	sync.Mutex
	files map[string]string
}

func (f *folder) read(name string) string {
	f.Lock()
	defer f.Unlock()
	return f.files[name]
}

func (f *folder) write(name, text string) {
	f.Lock()
	defer f.Unlock()
	f.files[name] = text
}

// A client is a page of the test's.
type client struct {
	t      testing.TB
	server *Server
	addr   string
	folder *folder
	stop   context.CancelFunc
	ended  chan error
}

// served serves the cottage.
func served(t testing.TB, waits patience) *client {
	t.Helper()
	text, _ := siteText(t, "cottage")
	f := &folder{files: map[string]string{"home.toml": string(text), "secret.txt": "a secret"}}
	cat, err := catalog.Generic()
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(Home{
		Name: "home.toml", Lang: "en", All: []string{"en", "de"},
		Read: func() ([]byte, error) { return []byte(f.read("home.toml")), nil },
		Open: func(text []byte) (*live.Table, error) {
			return live.New(live.Home{File: "home.toml", Text: text, Catalog: cat})
		},
		Replace: func(old, text []byte) (string, error) {
			f.write("home.toml.bak", string(old))
			f.write("home.toml", string(text))
			return "home.toml.bak", nil
		},
		Create: func(name string, text []byte) error {
			if f.read(name) != "" {
				return fs.ErrExist
			}
			f.write(name, string(text))
			return nil
		},
		Papers: func(_ context.Context, w io.Writer, text []byte, _ live.Question) error {
			_, err := fmt.Fprintf(w, "<p>papers of %d bytes", len(text))
			return err
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	s.waits = waits
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	c := &client{t, s, l.Addr().String(), f, stop, make(chan error, 1)}
	go func() { c.ended <- s.Serve(ctx, l) }()
	t.Cleanup(func() {
		stop()
		select {
		case err := <-c.ended:
			if err != nil {
				t.Error(err)
			}
		case <-time.After(5 * time.Second):
			t.Error("the server does not stop")
		}
		c.ended <- nil
	})
	return c
}

// post asks as a page does.
func (c *client) post(path, body string, headers ...string) (status int, answer string) {
	c.t.Helper()
	return c.request("POST", "http://"+c.addr+c.server.Path()+path, body, headers...)
}

func (c *client) request(method, url, body string, headers ...string) (status int, answer string) {
	c.t.Helper()
	r, err := http.NewRequest(method, url, strings.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	for i := 0; i < len(headers); i += 2 {
		if r.Header.Set(headers[i], headers[i+1]); headers[i] == "Host" {
			r.Host = headers[i+1]
		}
	}
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	response, err := client.Do(r)
	if err != nil {
		return 0, err.Error()
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	if err != nil {
		return 0, err.Error()
	}
	return response.StatusCode, string(text)
}

// raw sends bytes as they are, and gives what comes back until the server closes, or nothing comes for a while.
func (c *client) raw(text string) string {
	c.t.Helper()
	conn, err := net.Dial("tcp", c.addr)
	if err != nil {
		c.t.Fatal(err)
	}
	defer conn.Close()
	conn.SetDeadline(time.Now().Add(3 * time.Second))
	if _, err := io.WriteString(conn, text); err != nil {
		return err.Error()
	}
	got, _ := io.ReadAll(conn)
	return string(got)
}

// revision is that of the file as a page sees it when it is opened.
func (c *client) revision() string {
	c.t.Helper()
	_, answer := c.post("file", "{}")
	var file struct{ Revision string }
	if err := json.Unmarshal([]byte(answer), &file); err != nil || file.Revision == "" {
		c.t.Fatalf("%v: %s", err, answer)
	}
	return file.Revision
}

// Only who comes by our own name is let in, whatever else he knows.
func TestForeignHost(t *testing.T) {
	c := served(t, usualPatience)
	_, port, _ := net.SplitHostPort(c.addr)
	for _, host := range []string{"rebound.test:" + port, "rebound.test", "127.0.0.1:1", "127.0.0.1", "localhost:1",
		"evil.localhost:" + port, "127.0.0.1.evil.test:" + port, "192.168.1.7:" + port,
		"[::ffff:8.8.8.8]:" + port, ""} {
		for _, path := range []string{"", "file"} {
			method := "GET"
			if path != "" {
				method = "POST"
			}
			got := c.raw(fmt.Sprintf("%s %s%s HTTP/1.1\r\nHost: %s\r\nOrigin: http://%s\r\nContent-Length: 2\r\nConnection: close\r\n\r\n{}",
				method, c.server.Path(), path, host, host))
			if !strings.HasPrefix(got, "HTTP/1.1 4") || strings.Contains(got, "revision") {
				t.Errorf("host %q: %.100s", host, got)
			}
		}
	}
	for _, host := range []string{"127.0.0.1:" + port, "localhost:" + port} {
		if status, answer := c.post("file", "{}", "Host", host); status != http.StatusOK {
			t.Errorf("host %q: %d %s", host, status, answer)
		}
	}
}

// A page of another origin cannot ask, even if it knows the link.
func TestForeignOrigin(t *testing.T) {
	c := served(t, usualPatience)
	for _, headers := range [][]string{
		{"Origin", "http://evil.test"}, {"Origin", "null"}, {"Sec-Fetch-Site", "cross-site"},
		{"Sec-Fetch-Site", "same-site"}, {"Origin", "http://localhost:1"},
	} {
		for _, path := range []string{"file", "answer", "save", "save-as", "papers", "words"} {
			if status, answer := c.post(path, "{}", headers...); status != http.StatusForbidden {
				t.Errorf("%s from %v: %d %s", path, headers, status, answer)
			}
		}
	}
	if status, _ := c.post("file", "{}", "Origin", "http://"+c.addr); status != http.StatusOK {
		t.Errorf("from our own page: %d", status)
	}
}

// Without the whole link nothing is served, and no path leads out of the page.
func TestToken(t *testing.T) {
	c := served(t, usualPatience)
	token := strings.Trim(c.server.Path(), "/")
	if len(token) < 20 {
		t.Errorf("the token %q is short", token)
	}
	if other := served(t, usualPatience); other.server.Path() == c.server.Path() {
		t.Error("two servers have the same token")
	}
	wrong := []string{"", "/", "/index.html", "/page.js", "/file", "/" + token, "/" + strings.ToLower(token) + "/",
		"/" + token[:len(token)-1] + "/", "/" + token + "x/", "//" + token + "/", "/x/../" + token + "/",
		"/%2f" + token + "/"}
	for _, inside := range []string{
		"../", "..%2f", "%2e%2e/", "..\\", "../../../../etc/passwd", "%2e%2e%2f%2e%2e%2fetc%2fpasswd",
		"page/index.html", "page/../index.html", "./", ".//index.html", "connect/server.js", "connect.js/", "server.js",
		"file.js", "worker.js",
		"home.toml", "secret.txt", "index.html%00", "index.html%00.js", "built/README", "index.html/", "tablepage.go",
		"index.htm", "C:/", "con", "*", "index.html::$DATA", "save", "answer", "words",
	} {
		wrong = append(wrong, "/"+token+"/"+inside)
	}
	for _, path := range wrong {
		for _, method := range []string{"GET", "POST", "HEAD", "PUT", "DELETE", "OPTIONS", "CONNECT"} {
			if method == "POST" && (strings.HasSuffix(path, "/save") || strings.HasSuffix(path, "/answer") ||
				strings.HasSuffix(path, "/words")) {
				continue
			}
			got := c.raw(fmt.Sprintf("%s %s HTTP/1.1\r\nHost: %s\r\nConnection: close\r\n\r\n", method, path, c.addr))
			if !strings.HasPrefix(got, "HTTP/1.1 4") && !strings.HasPrefix(got, "HTTP/1.1 3") ||
				strings.Contains(got, "secret") || strings.Contains(got, "Wattle") || strings.Contains(got, "root:") {
				t.Errorf("%s %s: %.200s", method, path, got)
			}
		}
	}
	for _, path := range []string{"", "index.html", "page.css", "page.js", "connect.js"} {
		if status, text := c.request("GET", "http://"+c.addr+c.server.Path()+path, ""); status != http.StatusOK ||
			text == "" {
			t.Errorf("%q: %d", path, status)
		}
	}
}

// What protects the page goes with every answer.
func TestHeaders(t *testing.T) {
	c := served(t, usualPatience)
	for _, path := range []string{c.server.Path(), c.server.Path() + "page.js", "/nothing"} {
		response, err := http.Get("http://" + c.addr + path)
		if err != nil {
			t.Fatal(err)
		}
		response.Body.Close()
		for name, want := range map[string]string{"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff",
			"Referrer-Policy": "no-referrer", "Cross-Origin-Resource-Policy": "same-origin"} {
			if got := response.Header.Get(name); path != "/nothing" && got != want || path == "/nothing" &&
				name != "Cache-Control" && got != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
		policy := response.Header.Get("Content-Security-Policy")
		if !strings.HasPrefix(policy, "default-src 'none'; script-src 'self'; style-src 'self';") ||
			strings.Contains(policy, "unsafe") {
			t.Errorf("%s: policy %q", path, policy)
		}
		if response.Header.Get("Set-Cookie") != "" || response.Header.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s: %v", path, response.Header)
		}
	}
}

// Large and slow questions are ended, and the others do not notice.
func TestHugeAndSlow(t *testing.T) {
	c := served(t, patience{answer: 5 * time.Second, headers: 300 * time.Millisecond, question: 600 * time.Millisecond,
		sent: 5 * time.Second, idle: time.Second})
	revision := c.revision()
	for _, path := range []string{"answer?revision=" + revision, "save?revision=" + revision,
		"save-as?revision=" + revision} {
		huge := `{"lang": "` + strings.Repeat("x", mostBytes) + `"}`
		if status, answer := c.post(path, huge); status != http.StatusRequestEntityTooLarge &&
			!strings.Contains(answer, "reset") && !strings.Contains(answer, "broken pipe") {
			t.Errorf("%s: %d %.100s", path, status, answer)
		}
	}
	if status, answer := c.post("papers?revision="+revision, "question="+strings.Repeat("x", 2*mostBytes),
		"Content-Type", "application/x-www-form-urlencoded"); status == http.StatusOK {
		t.Errorf("papers: %.100s", answer)
	}
	if got := c.raw("GET / HTTP/1.1\r\nHost: " + c.addr + "\r\nX: " + strings.Repeat("x", 1<<20) +
		"\r\n\r\n"); !strings.HasPrefix(got, "HTTP/1.1 431") && !strings.Contains(got, "reset") &&
		!strings.Contains(got, "broken pipe") {
		t.Errorf("huge headers: %.100s", got)
	}
	for _, begun := range []string{"", "GET", "POST " + c.server.Path() + "answer?revision=" + revision +
		" HTTP/1.1\r\nHost: " + c.addr + "\r\n", "POST " + c.server.Path() + "answer?revision=" + revision +
		" HTTP/1.1\r\nHost: " + c.addr + "\r\nContent-Length: 100\r\n\r\n{"} {
		conns := make([]net.Conn, 20)
		for i := range conns {
			conn, err := net.Dial("tcp", c.addr)
			if err != nil {
				t.Fatal(err)
			}
			defer conn.Close()
			if _, err := io.WriteString(conn, begun); err != nil {
				t.Fatal(err)
			}
			conns[i] = conn
		}
		if status, answer := c.post("file", "{}"); status != http.StatusOK {
			t.Errorf("beside slow ones: %d %s", status, answer)
		}
		for _, conn := range conns {
			conn.SetDeadline(time.Now().Add(8 * time.Second))
			if _, err := io.Copy(io.Discard, conn); err != nil && errors.Is(err, context.DeadlineExceeded) ||
				isTimeout(err) {
				t.Errorf("%.20q is still open: %v", begun, err)
				break
			}
		}
	}
}

func isTimeout(err error) bool {
	var e net.Error
	return errors.As(err, &e) && e.Timeout()
}

// Two hundred at once all get the answer to their own question.
func TestManyAtOnce(t *testing.T) {
	c := served(t, patience{answer: 2 * time.Minute, headers: time.Minute, question: time.Minute, sent: 3 * time.Minute,
		idle: time.Minute})
	revision := c.revision()
	var all sync.WaitGroup
	for i := range 200 {
		all.Go(func() {
			kind, question, want := "answer", fmt.Sprintf(`{"view": {"hours": %d, "start_min": %d}}`, 1+i%20, i*7),
				fmt.Sprintf(`"length_h":%d,`, 1+i%20)
			switch i % 10 {
			case 3:
				kind, question, want = "answer",
					fmt.Sprintf(`{"changes": [{"do": "set", "table": "site", "key": "name", "value": "Home %d"}]}`,
						i%4), fmt.Sprintf(`"site":"Home %d"`, i%4)
			case 5:
				kind, question, want = "text",
					fmt.Sprintf(`{"changes": [{"do": "set", "table": "site", "key": "name", "value": "Home %d"}]}`, i),
					fmt.Sprintf("Home %d", i)
			case 7:
				kind, question, want = "try", `{"load": {"at": "Electric kettle"}}`, `"holds":false`
			}
			if status, answer := c.post(kind+"?revision="+revision, question); status != http.StatusOK ||
				!strings.Contains(answer, want) {
				t.Errorf("%s %s: %d %.200s", kind, question, status, answer)
			}
		})
	}
	all.Wait()
}

// A question that is none is answered with what is wrong.
func TestBadQuestions(t *testing.T) {
	c := served(t, usualPatience)
	at := "?revision=" + c.revision()
	for _, tt := range []struct {
		path, body string
		status     int
		says       string
	}{
		{"answer", `{}`, http.StatusGone, "load the page again"},
		{"answer?revision=../home", `{}`, http.StatusGone, "load the page again"},
		{"answer" + at, ``, http.StatusOK, "no question"},
		{"answer" + at, `{} {}`, http.StatusOK, "more than one"},
		{"answer" + at, `{"color": 1}`, http.StatusOK, "unknown field"},
		{"answer" + at, `{"lang": "xx"}`, http.StatusOK, "language"},
		{"answer" + at, `{"view": {"option": "no such"}}`, http.StatusOK, "not in the file"},
		{"answer" + at, `{"view": {"hours": 100000}}`, http.StatusOK, "want 1 to"},
		{"answer" + at, `{"view": {"start_min": -1}}`, http.StatusOK, "want 0 to"},
		{"answer" + at, `{"view": {"month": 13}}`, http.StatusOK, "want 1 to"},
		{"answer" + at, `{"view": {"sky": "green"}}`, http.StatusOK, "want dull"},
		{"weigh" + at, `{"circuits": ["no such"]}`, http.StatusOK, "not in the home"},
		{"try" + at, `{"load": {"place": 9999}}`, http.StatusOK, "not in the home"},
		{"why" + at, `{"numbers": ["no such"]}`, http.StatusOK, "no working"},
		{"save" + at, `{"changes": [{"do": "set", "table": "outage", "key": "autonomy_h", "value": -1}]}`,
			http.StatusUnprocessableEntity, "home.toml"},
		{"save" + at, `nonsense`, http.StatusBadRequest, "nothing that can be saved"},
		{"papers" + at, `question=nonsense`, http.StatusBadRequest, "no question"},
	} {
		headers := []string{"Content-Type", "application/json"}
		if strings.HasPrefix(tt.path, "papers") {
			headers[1] = "application/x-www-form-urlencoded"
		}
		status, answer := c.post(tt.path, tt.body, headers...)
		if status != tt.status || !strings.Contains(answer, tt.says) {
			t.Errorf("%s %s: %d %.200s, want %d with %q", tt.path, tt.body, status, answer, tt.status, tt.says)
		}
	}
}

// saved is what save answers.
type saved struct {
	Saved                             bool
	Revision, Copy, Disk, Yours, Name string
	Error                             string
}

func (c *client) save(path, body string) (out saved) {
	c.t.Helper()
	_, answer := c.post(path, body)
	if err := json.Unmarshal([]byte(answer), &out); err != nil {
		c.t.Fatalf("%v: %s", err, answer)
	}
	return out
}

// Two pages do not lose each other's edits: who saves second is told, with both texts, and may go on from what is
// there.
func TestTwoPages(t *testing.T) {
	c := served(t, usualPatience)
	before := c.folder.read("home.toml")
	first, second := c.revision(), c.revision()
	one := c.save("save?revision="+first,
		`{"changes": [{"do": "set", "table": "outage", "key": "autonomy_h", "value": 36}]}`)
	now := c.folder.read("home.toml")
	if !one.Saved || now != strings.Replace(before, "autonomy_h = 24", "autonomy_h = 36", 1) ||
		c.folder.read(one.Copy) != before {
		t.Fatalf("%+v: the file is\n%.400s", one, now)
	}
	const change = `{"changes": [{"do": "set", "table": "site", "key": "name", "value": "Two"}]}`
	two := c.save("save?revision="+second, change)
	if two.Saved || two.Disk != now || !strings.Contains(two.Yours, `"Two"`) ||
		strings.Contains(two.Yours, "autonomy_h = 36") || c.folder.read("home.toml") != now {
		t.Errorf("the second was saved over the first: %+v", two)
	}
	// Its question is still answered from what it was opened for.
	if _, answer := c.post("answer?revision="+second, `{}`); !strings.Contains(answer, `"required_h":24,`) {
		t.Errorf("the second page is answered with %.200s", answer)
	}
	if again := c.save("save?revision="+two.Revision, change); !again.Saved ||
		!strings.Contains(c.folder.read("home.toml"), `"Two"`) ||
		!strings.Contains(c.folder.read("home.toml"), "autonomy_h = 36") {
		t.Errorf("after it took what is there: %+v", again)
	}
}

// Somebody edits the file by hand meanwhile, even into no site file at all: nothing is written over it.
func TestChangedOnDisk(t *testing.T) {
	c := served(t, usualPatience)
	revision := c.revision()
	for _, byHand := range []string{c.folder.read("home.toml") + "# by hand\n", "half a fi", ""} {
		c.folder.write("home.toml", byHand)
		got := c.save("save?revision="+revision, `{"changes": []}`)
		if got.Saved || got.Disk != byHand || c.folder.read("home.toml") != byHand {
			t.Errorf("%q: %+v", byHand, got)
		}
	}
}

// Only a new name in the same folder is written.
func TestSaveAs(t *testing.T) {
	c := served(t, usualPatience)
	revision := c.revision()
	before := c.folder.read("home.toml")
	ask := func(name string) saved {
		body, err := json.Marshal(map[string]any{"name": name, "changes": []any{}})
		if err != nil {
			t.Fatal(err)
		}
		return c.save("save-as?revision="+revision, string(body))
	}
	for _, name := range []string{
		"", ".toml", "x", "x.txt", "../x.toml", "..\\x.toml", "/tmp/x.toml", "a/b.toml", "C:x.toml", "x.toml/",
		".hidden.toml", "x\x00.toml", "x\n.toml", "x\u202e.toml", " x.toml", "x .toml", "x.toml ",
		strings.Repeat("x", 300) + ".toml", "home.toml", "x.toml.exe", "a?.toml", "a*.toml", "\xff.toml", "x:y.toml", "CON.toml", "nul.old.toml", "lpt1 .toml",
	} {
		if got := ask(name); got.Saved || got.Error == "" {
			t.Errorf("%q: %+v", name, got)
		}
	}
	if len(c.folder.files) != 2 || c.folder.read("home.toml") != before {
		t.Errorf("the folder holds %d files", len(c.folder.files))
	}
	if got := ask("Größe zwei.toml"); !got.Saved || c.folder.read("Größe zwei.toml") != before {
		t.Errorf("a new name: %+v", got)
	}
	if got := ask("Größe zwei.toml"); got.Saved {
		t.Errorf("the same name again: %+v", got)
	}
}

// The papers are of what is on the screen, and have a policy without scripts.
func TestPapers(t *testing.T) {
	c := served(t, usualPatience)
	form := url.Values{"question": {`{"changes": [{"do": "set", "table": "site", "key": "name", "value": "X"}]}`}}
	response, err := http.PostForm("http://"+c.addr+c.server.Path()+"papers?revision="+c.revision(), form)
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	text, _ := io.ReadAll(response.Body)
	want := fmt.Sprintf("papers of %d bytes", len(strings.Replace(c.folder.read("home.toml"), "Wattle Bend cottage",
		"X", 1)))
	if policy := response.Header.Get("Content-Security-Policy"); strings.Contains(policy, "script-src") ||
		!strings.Contains(policy, "default-src 'none'") || !strings.Contains(string(text), want) {
		t.Errorf("%q, want %q; policy %q", text, want, policy)
	}
}

// The end comes at once, whoever still asks.
func TestStop(t *testing.T) {
	c := served(t, usualPatience)
	conn, err := net.Dial("tcp", c.addr)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	fmt.Fprintf(conn, "POST %sanswer?revision=%s HTTP/1.1\r\nHost: %s\r\nContent-Length: 100\r\n\r\n{", c.server.Path(),
		c.revision(), c.addr)
	begin := time.Now()
	c.stop()
	if err := <-c.ended; err != nil {
		t.Error(err)
	}
	c.ended <- nil
	if took := time.Since(begin); took > 400*time.Millisecond {
		t.Errorf("it took %v", took)
	}
	if _, err := bufio.NewReader(conn).ReadByte(); err == nil {
		t.Error("the connection still speaks")
	}
}
