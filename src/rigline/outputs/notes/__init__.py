"""The build notes on a phone, on paper and in a document: what to buy, cut, join, put in, measure and look at."""
