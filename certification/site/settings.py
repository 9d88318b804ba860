"""The settings of the site: every value comes from the environment, none is needed to start."""
