package server

import (
	"net"
	"net/netip"

	"github.com/labstack/echo/v4"
)

// addresses finds out who calls: the other end of the connection, or, where that
// is a proxy that the operator named, whom it says it speaks for.
func addresses(proxies []netip.Prefix) echo.IPExtractor {
	if len(proxies) == 0 {
		return echo.ExtractIPDirect()
	}
	trusted := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, p := range proxies {
		trusted = append(trusted, echo.TrustIPRange(&net.IPNet{
			IP: p.Masked().Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), p.Addr().BitLen()),
		}))
	}
	return echo.ExtractIPFromXFFHeader(trusted...)
}
