"""A day as FHIR R4B resources, for other systems of the clinic."""
