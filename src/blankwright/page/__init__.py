"""The local web page: one file a view. Nothing heavy is imported until the page is served."""
