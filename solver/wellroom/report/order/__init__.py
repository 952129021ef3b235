"""The order sheet: one form, printed as HTML or PDF, and its drawings as DXF."""
