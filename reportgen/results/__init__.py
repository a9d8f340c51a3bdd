"""The one place where campaign meets formula; every number a page shows is made here, once."""
