"""Parts laid out on printers' beds: their silhouettes as rasters, small ones inside rings, as few beds as can be."""
