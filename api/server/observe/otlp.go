package observe

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	sdk "go.opentelemetry.io/otel/sdk/trace"
)

// exporter sends spans to a collector as JSON over HTTP. The library that does
// the same brings the whole of gRPC into the program, which every command would
// pay for at its start. ref: OTLP 1.x, OTLP/HTTP, JSON protobuf encoding.
type exporter struct {
	to     Collector
	url    string
	client http.Client
}

func newExporter(to Collector) *exporter {
	return &exporter{to: to, url: strings.TrimRight(to.Endpoint, "/") + "/v1/traces", client: http.Client{Timeout: 10 * time.Second}}
}

// ExportSpans sends spans once; those that cannot be sent are lost, which the
// log tells.
func (e *exporter) ExportSpans(ctx context.Context, spans []sdk.ReadOnlySpan) error {
	if err := e.send(ctx, spans); err != nil {
		e.to.Log.Warn("spans lost", "spans", len(spans), "error", err)
	}
	return nil
}

// Shutdown has nothing to close.
func (e *exporter) Shutdown(context.Context) error { return nil }

func (e *exporter) send(ctx context.Context, spans []sdk.ReadOnlySpan) error {
	if len(spans) == 0 {
		return nil
	}
	text, err := json.Marshal(message(spans))
	if err != nil {
		return err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, e.url, bytes.NewReader(text))
	if err != nil {
		return err
	}
	for name, values := range e.to.Header {
		r.Header[name] = values
	}
	r.Header.Set("Content-Type", "application/json")
	answer, err := e.client.Do(r)
	if err != nil {
		return err
	}
	if answer.StatusCode >= http.StatusMultipleChoices {
		err = fmt.Errorf("the collector answers %s", answer.Status)
	}
	return errors.Join(err, answer.Body.Close())
}

// The message, named as the protocol names it in JSON: ids in hexadecimal,
// 64-bit numbers as text, enumerations as numbers.
type (
	exported struct {
		ResourceSpans []resourceSpans `json:"resourceSpans"`
	}
	resourceSpans struct {
		Resource   described    `json:"resource"`
		ScopeSpans []scopeSpans `json:"scopeSpans"`
	}
	described struct {
		Attributes []keyValue `json:"attributes"`
	}
	scopeSpans struct {
		Scope scope  `json:"scope"`
		Spans []span `json:"spans"`
	}
	scope struct {
		Name string `json:"name"`
	}
	span struct {
		TraceID      string     `json:"traceId"`
		SpanID       string     `json:"spanId"`
		ParentSpanID string     `json:"parentSpanId,omitempty"`
		Name         string     `json:"name"`
		Kind         int        `json:"kind"`
		Start        string     `json:"startTimeUnixNano"`
		End          string     `json:"endTimeUnixNano"`
		Attributes   []keyValue `json:"attributes"`
		Status       status     `json:"status"`
	}
	status struct {
		Code int `json:"code"`
	}
	keyValue struct {
		Key   string         `json:"key"`
		Value map[string]any `json:"value"`
	}
)

// message is what a collector is sent. All spans are of one process and one
// tracer.
func message(spans []sdk.ReadOnlySpan) exported {
	first := spans[0]
	all := scopeSpans{Scope: scope{first.InstrumentationScope().Name}}
	for _, s := range spans {
		all.Spans = append(all.Spans, written(s))
	}
	about := described{keyValues(first.Resource().Attributes())}
	return exported{[]resourceSpans{{about, []scopeSpans{all}}}}
}

// failed is the protocol's number for a span with an error.
const failed = 2

func written(s sdk.ReadOnlySpan) span {
	out := span{
		TraceID: s.SpanContext().TraceID().String(), SpanID: s.SpanContext().SpanID().String(),
		Name: s.Name(), Kind: int(s.SpanKind()), Start: nanoseconds(s.StartTime()), End: nanoseconds(s.EndTime()),
		Attributes: keyValues(s.Attributes()),
	}
	if s.Parent().IsValid() {
		out.ParentSpanID = s.Parent().SpanID().String()
	}
	if s.Status().Code == codes.Error {
		out.Status.Code = failed
	}
	return out
}

func nanoseconds(t time.Time) string { return strconv.FormatInt(t.UnixNano(), 10) }

func keyValues(all []attribute.KeyValue) []keyValue {
	out := make([]keyValue, len(all))
	for i, a := range all {
		out[i] = keyValue{string(a.Key), map[string]any{"stringValue": a.Value.String()}}
		if a.Value.Type() == attribute.INT64 {
			out[i].Value = map[string]any{"intValue": a.Value.String()}
		}
	}
	return out
}
