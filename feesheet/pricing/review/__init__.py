"""The margin review: what each crown earned, why it changed, and whether the labs charged what they should."""
