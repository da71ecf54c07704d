package observe

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/sdk/resource"
	sdk "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"

	"reedlark/api/server"
)

// Traces is an observer that also follows each call through the house: a span
// for the call, inside it one for each part of the work.
type Traces struct {
	server.Observer
	provider *sdk.TracerProvider
	tracer   trace.Tracer
}

// Collector is where spans are sent.
type Collector struct {
	Endpoint string      // the base address of a collector, as http://localhost:4318
	Header   http.Header // what the collector wants to see beside the spans
	Log      *slog.Logger
}

// NewTraces traces what it hands on to another observer. How much is traced and
// what the service is called there is up to the variables of the open standard,
// OTEL_TRACES_SAMPLER, OTEL_SERVICE_NAME and OTEL_RESOURCE_ATTRIBUTES. A
// collector that cannot be reached costs spans and a line in the log, no call.
func NewTraces(ctx context.Context, next server.Observer, to Collector) (*Traces, error) {
	about, err := resource.New(ctx,
		resource.WithAttributes(attribute.String("service.name", "reedlark")),
		resource.WithTelemetrySDK(), resource.WithFromEnv())
	if err != nil {
		return nil, fmt.Errorf("the variables of OpenTelemetry: %w", err)
	}
	return newTraces(next, sdk.WithBatcher(newExporter(to)), sdk.WithResource(about)), nil
}

func newTraces(next server.Observer, options ...sdk.TracerProviderOption) *Traces {
	provider := sdk.NewTracerProvider(options...)
	return &Traces{Observer: next, provider: provider, tracer: provider.Tracer("reedlark")}
}

// Close sends what is left to send.
func (t *Traces) Close(ctx context.Context) error { return t.provider.Shutdown(ctx) }

// Began begins the span of a call, under its caller's span where there is one.
func (t *Traces) Began(ctx context.Context, resource, parent string) context.Context {
	ctx = t.Observer.Began(ctx, resource, parent)
	ctx = propagation.TraceContext{}.Extract(ctx, propagation.MapCarrier{"traceparent": parent})
	ctx, _ = t.tracer.Start(ctx, resource, trace.WithSpanKind(trace.SpanKindServer))
	return ctx
}

// Answered ends the span of a call. ref: OpenTelemetry semantic conventions,
// HTTP server spans: only our own faults are errors.
func (t *Traces) Answered(ctx context.Context, a server.Answer) {
	t.Observer.Answered(ctx, a)
	span := trace.SpanFromContext(ctx)
	span.SetName(a.Method + " " + a.Resource)
	span.SetAttributes(
		attribute.String("http.request.method", a.Method),
		attribute.String("http.route", a.Resource),
		attribute.Int("http.response.status_code", a.Status),
		attribute.Int64("http.response.body.size", a.Bytes),
	)
	if a.Status >= http.StatusInternalServerError {
		span.SetStatus(codes.Error, "")
	}
	span.End()
}

// Stage begins the span of a part of the work; what went wrong there stays in
// the log, since it may repeat what a caller wrote.
func (t *Traces) Stage(ctx context.Context, name string) (context.Context, func(error)) {
	ctx, counted := t.Observer.Stage(ctx, name)
	ctx, span := t.tracer.Start(ctx, name)
	return ctx, func(err error) {
		counted(err)
		if err != nil {
			span.SetStatus(codes.Error, "")
		}
		span.End()
	}
}
