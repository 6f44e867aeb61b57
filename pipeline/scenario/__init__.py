"""An invented pressure-care service, played out week by week: what its people go through and what its exports say."""
