package web

// EngineAnyVersion is the engine in this program, whatever its version.
func EngineAnyVersion() (Engine, bool) { return anyEngine() }
