package observe

import (
	"context"
	"encoding/base64"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.opentelemetry.io/otel/codes"
	sdk "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/sdk/trace/tracetest"
	"go.opentelemetry.io/otel/trace"
	otlp "go.opentelemetry.io/proto/otlp/trace/v1"
	"google.golang.org/protobuf/encoding/protojson"

	"reedlark/api/server"
)

// parent is the example of the standard. ref: W3C Trace Context, section 3.2.
const parent = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01"

// serveOnce is one call as a server tells of it.
func serveOnce(o server.Observer, parent string, status int) {
	ctx := o.Began(context.Background(), "/v1/audio", parent)
	inside, parsed := o.Stage(ctx, "parse")
	_, read := o.Stage(inside, "read")
	read(nil)
	parsed(nil)
	_, rendered := o.Stage(ctx, "render")
	rendered(errors.New("secret 4 -4 5"))
	o.Answered(ctx, server.Answer{Resource: "/v1/audio", Method: "GET", Status: status, Bytes: 7, Took: time.Second})
}

func TestSpans(t *testing.T) {
	kept := tracetest.NewInMemoryExporter()
	traces := newTraces(server.Nobody{}, sdk.WithSyncer(kept))
	serveOnce(traces, parent, http.StatusOK)
	spans := map[string]tracetest.SpanStub{}
	for _, s := range kept.GetSpans() {
		spans[s.Name] = s
		require.Equal(t, "4bf92f3577b34da6a3ce929d0e0e4736", s.SpanContext.TraceID().String())
	}
	require.Len(t, spans, 4)
	call := spans["GET /v1/audio"]
	require.Equal(t, trace.SpanKindServer, call.SpanKind)
	require.Equal(t, "00f067aa0ba902b7", call.Parent.SpanID().String())
	require.Equal(t, codes.Unset, call.Status.Code)
	require.Equal(t, call.SpanContext.SpanID(), spans["parse"].Parent.SpanID())
	require.Equal(t, spans["parse"].SpanContext.SpanID(), spans["read"].Parent.SpanID())
	require.Equal(t, codes.Error, spans["render"].Status.Code)
	require.Empty(t, spans["render"].Status.Description, "an error may repeat what a caller wrote")
}

func TestBadParents(t *testing.T) {
	for _, bad := range []string{"", "00", "00-zz-00f067aa0ba902b7-01", parent + "\r\nx: y", "00-00000000000000000000000000000000-00f067aa0ba902b7-01"} {
		kept := tracetest.NewInMemoryExporter()
		serveOnce(newTraces(server.Nobody{}, sdk.WithSyncer(kept)), bad, http.StatusServiceUnavailable)
		spans := kept.GetSpans()
		call := spans[len(spans)-1]
		require.False(t, call.Parent.IsValid(), bad)
		require.Equal(t, codes.Error, call.Status.Code)
	}
}

// What a collector is sent is what the protocol's own definition reads, but for
// the ids, which the protocol writes in hexadecimal and protobuf's JSON would
// write in base64. ref: OTLP 1.x, "JSON Protobuf Encoding".
func TestCollectorUnderstands(t *testing.T) {
	var got otlp.TracesData
	collector := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		text, err := io.ReadAll(r.Body)
		if err == nil && r.URL.Path == "/v1/traces" && r.Header.Get("Content-Type") == "application/json" && r.Header.Get("X-Key") == "k" {
			err = protojson.Unmarshal(text, &got)
		}
		if err != nil {
			panic(err)
		}
	}))
	defer collector.Close()
	traces, err := NewTraces(t.Context(), server.Nobody{}, Collector{Endpoint: collector.URL + "/", Header: http.Header{"X-Key": {"k"}}, Log: slog.New(slog.DiscardHandler)})
	require.NoError(t, err)
	serveOnce(traces, parent, http.StatusInternalServerError)
	require.NoError(t, traces.Close(t.Context()))
	require.Len(t, got.ResourceSpans, 1)
	about := map[string]string{}
	for _, a := range got.ResourceSpans[0].Resource.Attributes {
		about[a.Key] = a.Value.GetStringValue()
	}
	require.Equal(t, "reedlark", about["service.name"])
	spans := got.ResourceSpans[0].ScopeSpans[0].Spans
	require.Len(t, spans, 4)
	call := spans[3]
	require.Equal(t, "GET /v1/audio", call.Name)
	require.Equal(t, otlp.Span_SPAN_KIND_SERVER, call.Kind)
	require.Equal(t, otlp.Status_STATUS_CODE_ERROR, call.Status.Code)
	require.Equal(t, otlp.Span_SPAN_KIND_INTERNAL, spans[0].Kind)
	require.NotZero(t, call.StartTimeUnixNano)
	require.Greater(t, call.EndTimeUnixNano, call.StartTimeUnixNano)
	require.Equal(t, int64(500), call.Attributes[2].Value.GetIntValue())
	require.Equal(t, "http.response.status_code", call.Attributes[2].Key)
	require.Equal(t, []byte("4bf92f3577b34da6a3ce929d0e0e4736"), hexOf(call.TraceId))
}

// hexOf undoes what reading base64 made of hexadecimal digits, and returns them.
func hexOf(id []byte) []byte { return []byte(base64.StdEncoding.EncodeToString(id)) }

// A collector that is away or refuses costs spans, and the log says so.
func TestCollectorAway(t *testing.T) {
	refuses := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusForbidden) }))
	defer refuses.Close()
	for _, endpoint := range []string{refuses.URL, "http://127.0.0.1:1"} {
		var log strings.Builder
		traces, err := NewTraces(t.Context(), server.Nobody{}, Collector{Endpoint: endpoint, Log: slog.New(slog.NewTextHandler(&log, nil))})
		require.NoError(t, err)
		serveOnce(traces, "", http.StatusOK)
		require.NoError(t, traces.Close(t.Context()))
		require.Contains(t, log.String(), "spans lost")
	}
}
