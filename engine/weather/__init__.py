"""Weather files: hours of a year read strictly, and what they say of a site."""
