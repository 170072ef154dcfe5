"""Where everything goes: dimensions and leaders beside a view, texts in it, views and tables on a sheet."""
