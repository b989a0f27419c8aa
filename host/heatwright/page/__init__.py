"""The page: what a person looks at beside the oven, in a browser."""
