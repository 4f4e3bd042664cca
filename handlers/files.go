//go:build !js

package handlers

import (
	"levelpeg/static"
	"levelpeg/web"
)

// ownAssets are the addresses of the files that this server serves.
func ownAssets() web.Assets {
	save := ""
	if static.PhoneRelease() != "" {
		save = static.Path("saved.js")
	}
	return web.Assets{Save: save, CSS: static.Path("app.css"), JS: static.Path("app.js"), Passkey: static.Path("passkey.js"), Record: static.Path("record.js"), Outbox: static.Path("outbox.js"),
		Guide: static.Path("guide.js"), Touch: static.Path("icon-192.png"), Map: static.Path("map.js"), Leaflet: static.Path("leaflet.js"), LeafletCSS: static.Path("leaflet.css")}
}
