package batch

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"time"
)

// BackupName is the name of the folder that a [Backup] is kept in, beside the
// pages. It is hidden, so that its pages are not taken for pages of the folder.
const BackupName = ".reedlark-before"

// backupLog is the file in it that says what was replaced by what.
const backupLog = ".reedlark-replaced"

// Backup keeps pages as they were before they were rewritten, and restores them.
// Each run has a numbered folder in it with the replaced pages under their own
// names, to be looked at and copied by hand. The same bytes are kept once, however
// often a page becomes them. The zero Backup is not ready for use; see [NewBackup].
type Backup struct {
	folder string
	run    int // 0 before the first page is kept
	log    *os.File
	all    []replaced
	kept   map[string]string // path in the folder, by hash
}

// replaced is one line of the log: a page that was replaced, or that this was
// undone.
type replaced struct {
	Run    int         `json:"run"`
	Page   string      `json:"page"` // relative to the folder, with slashes
	Kept   string      `json:"kept"` // likewise
	Was    string      `json:"was"`  // hash
	Became string      `json:"became"`
	Mode   fs.FileMode `json:"mode"`
	Time   int64       `json:"time"` // nanoseconds since 1970
	Undone bool        `json:"undone,omitempty"`
}

// NewBackup is the backup in a folder. Nothing is made before the first Keep.
func NewBackup(folder string) *Backup { return &Backup{folder: folder} }

func hash(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// Keep stores a page that is about to be replaced.
func (b *Backup) Keep(ctx context.Context, page string, was, becomes []byte) error {
	if err := b.begin(); err != nil {
		return err
	}
	info, err := os.Stat(page)
	if err != nil {
		return err
	}
	r := replaced{Run: b.run, Was: hash(was), Became: hash(becomes), Mode: info.Mode().Perm(), Time: info.ModTime().UnixNano()}
	if r.Page, err = b.rel(page); err != nil {
		return err
	}
	if r.Kept, err = b.store(ctx, r, was); err != nil {
		return err
	}
	return b.add(r)
}

// begin opens the log and makes the folder of this run.
func (b *Backup) begin() error {
	if b.run > 0 {
		return nil
	}
	if err := MakeFolder(b.folder); err != nil {
		return err
	}
	if err := b.read(); err != nil {
		return err
	}
	run := 1
	for _, r := range b.all {
		run = max(run, r.Run+1)
	}
	for { // another process may begin at the same time
		err := os.Mkdir(filepath.Join(b.folder, strconv.Itoa(run)), 0o777)
		if err == nil {
			b.run = run
			return nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return err
		}
		run++
	}
}

// read takes in the log. A last line that is cut short is none.
func (b *Backup) read() error {
	if b.log != nil {
		return nil
	}
	f, err := openOwn(filepath.Join(b.folder, backupLog), os.O_CREATE|os.O_RDWR|os.O_APPEND)
	if err != nil {
		return err
	}
	b.log, b.kept = f, map[string]string{}
	text, err := os.ReadFile(f.Name())
	for line := range bytes.Lines(text) {
		var r replaced
		if json.Unmarshal(line, &r) == nil && filepath.IsLocal(filepath.FromSlash(r.Kept)) {
			b.all = append(b.all, r)
			b.kept[r.Was] = r.Kept
		}
	}
	return err
}

// rel is the path of a page as the log has it, so that the pages and the folder
// may move together.
func (b *Backup) rel(page string) (string, error) {
	folder, err := Whereabouts(b.folder)
	if err != nil {
		return "", err
	}
	full, err := Whereabouts(page)
	if err != nil {
		return "", err
	}
	rel, err := filepath.Rel(folder, full)
	return filepath.ToSlash(rel), err
}

// store writes the bytes into the folder of the run, unless they are kept already.
func (b *Backup) store(ctx context.Context, r replaced, was []byte) (string, error) {
	if kept, known := b.kept[r.Was]; known && b.holds(kept, was) {
		return kept, nil
	}
	// A page outside the folder above has no path in it.
	inner, err := filepath.Rel("..", filepath.FromSlash(r.Page))
	if err != nil || !filepath.IsLocal(inner) {
		inner = filepath.Base(r.Page)
	}
	kept := filepath.Join(strconv.Itoa(b.run), inner)
	for n := 2; ; n++ {
		_, err := os.Lstat(filepath.Join(b.folder, kept))
		if errors.Is(err, fs.ErrNotExist) {
			break
		}
		kept = filepath.Join(strconv.Itoa(b.run), inner+"-"+strconv.Itoa(n))
	}
	name := filepath.Join(b.folder, kept)
	err = os.MkdirAll(filepath.Dir(name), 0o777)
	if err == nil {
		err = WriteFile(ctx, name, Exactly(was))
	}
	if err == nil {
		err = restoreTimes(name, r)
	}
	return filepath.ToSlash(kept), err
}

func (b *Backup) holds(kept string, was []byte) bool {
	text, err := os.ReadFile(filepath.Join(b.folder, filepath.FromSlash(kept)))
	return err == nil && bytes.Equal(text, was)
}

func restoreTimes(name string, r replaced) error {
	at := time.Unix(0, r.Time)
	return errors.Join(os.Chmod(name, r.Mode), os.Chtimes(name, at, at))
}

// add appends to the log, and sees it to the disk before the page is replaced.
func (b *Backup) add(r replaced) error {
	line, err := json.Marshal(r)
	if err != nil {
		return err
	}
	b.all = append(b.all, r)
	b.kept[r.Was] = r.Kept
	_, err = b.log.Write(append(line, '\n'))
	return errors.Join(err, b.log.Sync())
}

// Close ends the use of the backup, and removes the folder of a run that kept
// nothing new.
func (b *Backup) Close() error {
	if b.log == nil {
		return nil
	}
	if b.run > 0 {
		_ = os.Remove(filepath.Join(b.folder, strconv.Itoa(b.run))) // fails where it is not empty
	}
	return b.log.Close()
}
