"""The app in a browser, thin: it calls the layers below and owns no rule of the trade."""
