"""The lab audit: what the labs charged, held against price lists, metal prices, weights, classes, remakes and credits."""
