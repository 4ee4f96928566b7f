"""The language: schema validation, the typed spec, and names bound to parts (validate, lower, resolve)."""
