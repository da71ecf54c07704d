# Build releases with the newest patch of this Go: it is what the binary carries.
FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN go generate ./api/web
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /reedlark ./cmd/reedlark

# Nothing but the binary: no shell, no libraries, nothing written to disk; and the
# certificates of public authorities, for --traces over HTTPS. What each variable
# means: reedlark serve --help.
FROM scratch
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/
COPY --from=build /src/LICENSE /src/NOTICE /
COPY --from=build /reedlark /reedlark
USER 65532:65532
EXPOSE 8080 9090
ENV REEDLARK_LISTEN=:8080 REEDLARK_METRICS=:9090 REEDLARK_LOG_JSON=true
STOPSIGNAL SIGTERM
HEALTHCHECK --interval=30s --timeout=3s --start-period=2s CMD ["/reedlark", "health"]
ENTRYPOINT ["/reedlark"]
CMD ["serve"]
