package plan

// EndName is how a wire's end is written everywhere: "pump:1", "controller/A:12",
// "BULK1/a:12", "splice at tunnel", "stud G1".
func (p *Plan) EndName(e *WireEnd) string {
	t := &p.Things
	place := ""
	if e.Place >= 0 {
		place = t.Places[e.Place].Name
	}
	switch {
	case e.Kind == AtCavity && e.Crossing >= 0:
		x := &p.Cavities.Crossings[e.Crossing]
		return t.Joins[x.Join].Name + "/" + e.Half + ":" + x.Cavity.Value
	case e.Kind == AtSplice && e.Splice >= 0:
		return "splice at " + place
	case e.End < 0:
		return place
	}
	q := &p.Ends.List[e.End]
	switch {
	case q.Stud >= 0:
		return "stud " + t.Studs[q.Stud].Name
	case q.Device >= 0:
		return p.ConnectorName(q.Device, q.Connector) + ":" + q.Pin.Value
	}
	return place
}

// ConnectorName is a device's connector as labels say it: the device's name,
// and the connector's where it has several.
func (p *Plan) ConnectorName(device, connector int) string {
	d := &p.Things.Devices[device]
	if connector >= 0 && connector < len(d.Connectors) && d.Connectors[connector].Name != "" {
		return d.Name + "/" + d.Connectors[connector].Name
	}
	return d.Name
}
