"""One small control for each kind of field, made from the design's own descriptions."""
