"""The roster's folder: what people type, read and written back."""
